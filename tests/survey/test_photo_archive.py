"""The zip with pictures: what goes in comes out; tricks with names, hashes and sizes are refused."""

import hashlib
import io
import struct
import zipfile
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from survey.bundle import Survey, dump
from survey.faults import Fault, SurveyRefused
from survey.photo_archive import Archive, ArchiveLimits, read_archive, write_archive
from survey.tables.site import PhotoFields
from tests.builders import SurveyBuilder

JPEG = b"\xff\xd8\xff\xe0" + b"jpeg " * 40
PNG = b"\x89PNG\r\n\x1a\n" + b"png " * 40
WEBP = b"RIFF\x10\x00\x00\x00WEBPVP8 "
LIMITS = ArchiveLimits(survey_bytes=1_000_000, picture_bytes=1000, pictures_bytes=2000, members=10)


def sha(content: bytes) -> str:
    """Give the hash that names a picture."""
    return hashlib.sha256(content).hexdigest()


def with_photos(*pictures: tuple[str, bytes]) -> Survey:
    """Give a survey that names these pictures by media type and content."""
    build = SurveyBuilder()
    for media_type, content in pictures:
        build.add("photos", PhotoFields, sha256=sha(content), media_type=media_type)
    return build.survey()


SURVEY = with_photos(("image/jpeg", JPEG), ("image/png", PNG), ("image/webp", WEBP))
PICTURES = {sha(content): content for content in (JPEG, PNG, WEBP)}


def zipped(*members: tuple[str, bytes]) -> io.BytesIO:
    """Give a zip with these members and nothing checked."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members:
            archive.writestr(name, content)
    return file


def faults_of_archive(file: io.BytesIO, limits: ArchiveLimits = LIMITS) -> tuple[Fault, ...]:
    """Give the faults for which an archive is refused."""
    with pytest.raises(SurveyRefused) as refused:
        read_archive(file, limits)
    return refused.value.faults


def test_what_is_written_is_read_again_and_bytes_are_the_same_each_time() -> None:
    first, second = io.BytesIO(), io.BytesIO()
    assert write_archive(first, SURVEY, PICTURES) == ()
    write_archive(second, SURVEY, dict(reversed(PICTURES.items())))
    assert first.getvalue() == second.getvalue()
    assert read_archive(first, LIMITS) == Archive(SURVEY, PICTURES, missing=())
    names = zipfile.ZipFile(first).namelist()
    assert names == [
        "survey.json",
        *sorted(f"photos/{sha(c)}.{e}" for c, e in ((JPEG, "jpg"), (PNG, "png"), (WEBP, "webp"))),
    ]


def test_pictures_that_are_named_and_not_there_are_told_and_their_entries_kept() -> None:
    file = io.BytesIO()
    assert write_archive(file, SURVEY, {sha(PNG): PNG}) == tuple(sorted([sha(JPEG), sha(WEBP)]))
    archive = read_archive(file, LIMITS)
    assert archive.missing == tuple(sorted([sha(JPEG), sha(WEBP)]))
    assert archive.survey == SURVEY


@pytest.mark.parametrize(
    "name",
    ["../survey.json", "/etc/passwd", "photos/../../x.jpg", "photos\\x.jpg", "photos/", "PHOTOS/x.jpg", "C:x.png"],
)
def test_any_other_name_is_refused(name: str) -> None:
    faults = faults_of_archive(zipped(("survey.json", dump(SURVEY)), (name, JPEG)))
    assert [fault.found for fault in faults] == ["another name"]


def test_hash_in_upper_case_is_another_name() -> None:
    name = f"photos/{sha(JPEG).upper()}.jpg"
    assert "another name" in faults_of_archive(zipped(("survey.json", dump(SURVEY)), (name, JPEG)))[0].found


@pytest.mark.parametrize(
    ("name", "content", "expected"),
    [
        (f"photos/{sha(JPEG)}.jpg", PNG, "content with the SHA-256 of its name"),
        (f"photos/{sha(JPEG)}.png", JPEG, "the ending .jpg of image/jpeg"),
        (f"photos/{sha(b'other')}.png", b"other", "a picture that the survey names"),
    ],
)
def test_picture_that_is_not_what_its_name_says(name: str, content: bytes, expected: str) -> None:
    faults = faults_of_archive(zipped(("survey.json", dump(SURVEY)), (name, content)))
    assert expected in [fault.expected for fault in faults]
    assert {fault.path for fault in faults} == {name}


def test_content_of_another_kind_than_its_entry_says() -> None:
    page = b"<!doctype html><script>"
    survey = with_photos(("image/png", page))
    file = zipped(("survey.json", dump(survey)), (f"photos/{sha(page)}.png", page))
    assert [fault.found for fault in faults_of_archive(file)] == ["content of another kind"]
    with pytest.raises(SurveyRefused, match="content of another kind"):
        write_archive(io.BytesIO(), survey, {sha(page): page})


def test_writing_a_picture_nobody_names_writes_nothing() -> None:
    file = io.BytesIO()
    with pytest.raises(SurveyRefused, match="no photo entry names"):
        write_archive(file, with_photos(), {sha(PNG): PNG})
    assert file.getvalue() == b""


def test_survey_inside_is_held_to_the_survey_file() -> None:
    assert faults_of_archive(zipped(("survey.json", b"{}")))[0].path == "format"
    assert faults_of_archive(zipped(("photos/x", b"")))[0].expected == "a member survey.json"


@pytest.mark.parametrize(
    ("limits", "path", "expected"),
    [
        (ArchiveLimits(100, 1000, 2000, 10), "survey.json", "at most 100 bytes"),
        (ArchiveLimits(10**6, 50, 2000, 10), f"photos/{sha(JPEG)}.jpg", "at most 50 bytes"),
        (ArchiveLimits(10**6, 1000, 2000, 2), "archive", "at most 2 members"),
    ],
)
def test_limits(limits: ArchiveLimits, path: str, expected: str) -> None:
    members = [("survey.json", dump(SURVEY)), (f"photos/{sha(JPEG)}.jpg", JPEG), (f"photos/{sha(PNG)}.png", PNG)]
    assert faults_of_archive(zipped(*members), limits) == (Fault(path, expected, "3" if path == "archive" else "more"),)


def test_pictures_together_are_limited() -> None:
    members = [("survey.json", dump(SURVEY)), (f"photos/{sha(JPEG)}.jpg", JPEG), (f"photos/{sha(PNG)}.png", PNG)]
    together = len(JPEG) + len(PNG)
    assert len(read_archive(zipped(*members), ArchiveLimits(10**6, 1000, together, 10)).pictures) == 2
    fault = faults_of_archive(zipped(*members), ArchiveLimits(10**6, 1000, together - 1, 10))[0]
    assert fault.path == f"photos/{sha(PNG)}.png"


def test_bomb_is_refused_without_unpacking_it(monkeypatch: pytest.MonkeyPatch) -> None:
    bomb = zipped(("survey.json", dump(SURVEY)), (f"photos/{sha(JPEG)}.jpg", b"\0" * 50_000_000))
    unpacked = 0
    real: Callable[..., bytes] = zipfile.ZipExtFile._read1  # type: ignore[attr-defined]

    def counting(self: zipfile.ZipExtFile, n: int) -> bytes:
        nonlocal unpacked
        content = real(self, n)
        unpacked += len(content)
        return content

    monkeypatch.setattr(zipfile.ZipExtFile, "_read1", counting)
    assert faults_of_archive(bomb)[0].expected == "at most 1000 bytes"
    assert unpacked < 100_000


def test_declared_size_is_not_believed() -> None:
    file = zipped(("survey.json", dump(SURVEY)), (f"photos/{sha(JPEG)}.jpg", b"\0" * 5000))
    data = bytearray(file.getvalue())
    # The uncompressed size in the central directory (APPNOTE 4.3.12, offset 24) of the second member.
    place = data.rindex(b"PK\x01\x02") + 24
    assert struct.unpack_from("<I", data, place) == (5000,)
    struct.pack_into("<I", data, place, 10)
    faults = faults_of_archive(io.BytesIO(bytes(data)))
    assert faults


def test_member_twice_and_encrypted_member() -> None:
    with pytest.warns(UserWarning, match="Duplicate name"):
        twice = zipped(("survey.json", dump(SURVEY)), ("survey.json", dump(with_photos())))
    assert faults_of_archive(twice)[0].found == "it 2 times"
    data = bytearray(zipped(("survey.json", dump(SURVEY))).getvalue())
    # The general purpose bit flag of the central directory (APPNOTE 4.3.12, offset 8), bit 0.
    data[data.rindex(b"PK\x01\x02") + 8] |= 1
    assert faults_of_archive(io.BytesIO(bytes(data)))[0].found == "an encrypted one"


@pytest.mark.parametrize(
    "spoil", [lambda data: b"", lambda data: b"no zip", lambda data: data[:-30], lambda data: data[40:]]
)
def test_broken_zip(spoil: Callable[[bytes], bytes]) -> None:
    data = spoil(zipped(("survey.json", dump(SURVEY))).getvalue())
    assert faults_of_archive(io.BytesIO(data))[0].expected == "a sound zip file"


def test_flipped_byte_in_a_picture_is_found() -> None:
    file = io.BytesIO()
    write_archive(file, SURVEY, PICTURES)
    data = file.getvalue().replace(b"png png png", b"png pnG png", 1)
    assert data != file.getvalue()
    assert faults_of_archive(io.BytesIO(data))


@given(place=st.integers(0), flip=st.integers(1, 255))
def test_a_flipped_byte_anywhere_is_refused_or_does_no_harm(place: int, flip: int) -> None:
    data = bytearray(zipped(("survey.json", dump(SURVEY)), (f"photos/{sha(PNG)}.png", PNG)).getvalue())
    data[place % len(data)] ^= flip
    try:
        archive = read_archive(io.BytesIO(bytes(data)), LIMITS)
    except SurveyRefused:
        return
    # Times, attributes and the like may differ; the content may not.
    assert archive.survey == SURVEY
    assert archive.pictures == {sha(PNG): PNG}
