"""The zip that carries a survey file and its pictures: `survey.json` and `photos/<sha256>.<ending>`.

Pictures are named by the hash of their content, so an archive can be checked without trusting where it came from.
Nothing is ever unpacked to a path that the archive names.
"""

import hashlib
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import BinaryIO

from survey.bundle import Survey, dump, parse
from survey.faults import Fault, SurveyRefused, shown

SURVEY_MEMBER = "survey.json"
ENDINGS: Mapping[str, str] = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}
_PICTURE_MEMBER = re.compile(r"photos/(?P<sha256>[0-9a-f]{64})\.(?P<ending>jpg|png|webp)")
_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The earliest time a zip can hold; every member carries it, so that equal content makes equal bytes."""


@dataclass(frozen=True, slots=True)
class ArchiveLimits:
    """How much an archive may hold, unpacked."""

    survey_bytes: int
    picture_bytes: int
    pictures_bytes: int
    """All pictures together."""
    members: int


@dataclass(frozen=True, slots=True)
class Archive:
    """A survey with its pictures by SHA-256; `missing` are those it names and the archive lacks."""

    survey: Survey
    pictures: Mapping[str, bytes]
    missing: tuple[str, ...]


def write_archive(file: BinaryIO, survey: Survey, pictures: Mapping[str, bytes]) -> tuple[str, ...]:
    """Write a survey and its pictures; equal content makes equal bytes.

    Returns
    -------
    tuple of str
        SHA-256 of each picture that the survey names and `pictures` lacks.

    Raises
    ------
    SurveyRefused
        Where a picture is not what its hash or its entry says, or no entry names it; nothing is written then.
    """
    named = _named_pictures(survey)
    faults = [
        fault
        for sha256, content in sorted(pictures.items())
        for fault in _picture_faults(sha256, named.get(sha256), sha256, content)
    ]
    if faults:
        raise SurveyRefused(faults)
    with zipfile.ZipFile(file, "w") as archive:
        _put(archive, SURVEY_MEMBER, dump(survey), zipfile.ZIP_DEFLATED)
        for sha256, content in sorted(pictures.items()):
            # Pictures are compressed already.
            _put(archive, f"photos/{sha256}.{ENDINGS[named[sha256]]}", content, zipfile.ZIP_STORED)
    return _missing(named, pictures)


def read_archive(file: BinaryIO, limits: ArchiveLimits) -> Archive:
    """Read a survey and its pictures.

    Raises
    ------
    SurveyRefused
        Where it is no sound zip, holds anything but the survey and pictures the survey names, or more than the
        limits allow, or where a picture is not what its name says.
    """
    with _sound_zip():
        archive = zipfile.ZipFile(file)
    with archive:
        return _read(archive, limits)


@contextmanager
def _sound_zip() -> Iterator[None]:
    """Turn what the library raises on a damaged or forged zip into a refusal."""
    try:
        yield
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, ValueError, struct.error) as error:
        raise SurveyRefused([Fault("archive", "a sound zip file", str(error) or type(error).__name__)]) from error


def _read(archive: zipfile.ZipFile, limits: ArchiveLimits) -> Archive:
    members = archive.infolist()
    faults = list(_member_faults(members, limits))
    if faults:
        raise SurveyRefused(faults)
    by_name = {member.filename: member for member in members}
    text = _content(archive, by_name.pop(SURVEY_MEMBER), limits.survey_bytes)
    survey = parse(text, max_bytes=limits.survey_bytes)
    named = _named_pictures(survey)
    pictures: dict[str, bytes] = {}
    room = limits.pictures_bytes
    for name, member in by_name.items():
        content = _content(archive, member, min(limits.picture_bytes, room))
        room -= len(content)
        match = _PICTURE_MEMBER.fullmatch(name)
        sha256, ending = (match["sha256"], match["ending"]) if match else ("", "")
        faults += _picture_faults(sha256, named.get(sha256), name, content, ending)
        pictures[sha256] = content
    if faults:
        raise SurveyRefused(faults)
    return Archive(survey, pictures, _missing(named, pictures))


def _member_faults(members: list[zipfile.ZipInfo], limits: ArchiveLimits) -> Iterator[Fault]:
    if len(members) > limits.members:
        yield Fault("archive", f"at most {limits.members} members", str(len(members)))
        return
    names = [member.filename for member in members]
    if SURVEY_MEMBER not in names:
        yield Fault("archive", f"a member {SURVEY_MEMBER}", "none")
    for member in members:
        name = member.filename
        if names.count(name) > 1:
            yield Fault(shown(name), "a member once", f"it {names.count(name)} times")
        if name != SURVEY_MEMBER and not _PICTURE_MEMBER.fullmatch(name):
            yield Fault(shown(name), f"{SURVEY_MEMBER} or photos/<sha256>.<jpg, png or webp>", "another name")
        if member.flag_bits & 1:
            yield Fault(shown(name), "a member that is not encrypted", "an encrypted one")


def _content(archive: zipfile.ZipFile, member: zipfile.ZipInfo, most: int) -> bytes:
    """Read a member, believing its content and not the size that it declares."""
    with _sound_zip(), archive.open(member) as stream:
        content = stream.read(most + 1)
    if len(content) > most:
        raise SurveyRefused([Fault(member.filename, f"at most {most} bytes", "more")])
    return content


def _named_pictures(survey: Survey) -> dict[str, str]:
    """Give the media type of each picture that the survey names, by SHA-256."""
    return {photo.sha256: photo.media_type for photo in survey.photos}


def _missing(named: Mapping[str, str], pictures: Mapping[str, bytes]) -> tuple[str, ...]:
    return tuple(sorted(set(named) - set(pictures)))


def _picture_faults(
    sha256: str, media_type: str | None, where: str, content: bytes, ending: str | None = None
) -> Iterator[Fault]:
    digest = hashlib.sha256(content).hexdigest()
    if digest != sha256:
        yield Fault(where, "content with the SHA-256 of its name", digest)
    if media_type is None:
        yield Fault(where, "a picture that the survey names", "one that no photo entry names")
        return
    if ending is not None and ending != ENDINGS[media_type]:
        yield Fault(where, f"the ending .{ENDINGS[media_type]} of {media_type}", f".{ending}")
    found = _media_type(content)
    if found != media_type:
        yield Fault(where, media_type, found or "content of another kind")


def _media_type(content: bytes) -> str | None:
    """Tell a picture by its first bytes: ITU-T T.81 B.1.1.3 (SOI), ISO/IEC 15948 5.2 (signature), RFC 9649 2.4."""
    if content.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "image/webp"
    return None


def _put(archive: zipfile.ZipFile, name: str, content: bytes, compression: int) -> None:
    member = zipfile.ZipInfo(name, _EARLIEST)
    member.compress_type = compression
    archive.writestr(member, content)
