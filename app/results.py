"""The main job as files: an assessment, its maps and its pre-plan, in one folder that is there whole or not at all."""

import json
import re
import tempfile
import unicodedata
from collections.abc import Mapping
from pathlib import Path

from reports.assessment import Assessment, as_json
from reports.assessor import assess
from reports.facts import SiteFacts
from reports.maps import floor_map, zone_map
from reports.preplan import preplan
from reports.render import Paper, render_pdf

ASSESSMENT = "assessment.json"
PREPLAN = "preplan.pdf"
MAPS = "maps"
LONGEST_SLUG = 60
_MAP = re.compile(rf"{MAPS}/(floor|zone)-[a-z0-9-]+\.svg")


class FolderRefused(Exception):
    """Results cannot go where they were asked for; the message says why."""


def results(facts: SiteFacts, *, paper: Paper) -> tuple[Assessment, dict[str, bytes]]:
    """Assess a site and make every file of its results, by its path within the folder."""
    assessment = assess(facts)
    files = {
        ASSESSMENT: (json.dumps(as_json(assessment), ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()
    }
    taken: set[str] = set()
    for floor in assessment.floors:
        name = free_stem(f"floor-{slug(floor.name)}", taken)
        files[f"{MAPS}/{name}.svg"] = floor_map(floor, assessment).encode()
        for zone in floor.zones:
            name = free_stem(f"zone-{slug(zone.name)}", taken)
            files[f"{MAPS}/{name}.svg"] = zone_map(zone, floor, assessment).encode()
    files[PREPLAN] = render_pdf(preplan(assessment, facts), paper=paper)
    return assessment, files


def slug(name: str) -> str:
    """Spell a name so that it is safe in a file's name everywhere: lower case ASCII letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain)[:LONGEST_SLUG].strip("-") or "unnamed"


def free_stem(stem: str, taken: set[str]) -> str:
    """Give the stem, or the stem with the first number that is free, and take it."""
    free, count = stem, 1
    while free in taken:
        count += 1
        free = f"{stem}-{count}"
    taken.add(free)
    return free


def refuse_unless_ours(folder: Path) -> None:
    """Raise `FolderRefused` unless a folder may be replaced whole: not there, empty, or earlier results and no more."""
    if not folder.exists():
        return
    if not folder.is_dir():
        raise FolderRefused(f"{folder}: expected a folder, found a file")
    for path in sorted(folder.rglob("*")):
        if not _is_result(path.relative_to(folder)):
            raise FolderRefused(f"{folder}: expected a new or empty folder or earlier results, found {path.name} in it")


def _is_result(path: Path) -> bool:
    return path.as_posix() in (ASSESSMENT, PREPLAN, MAPS) or _MAP.fullmatch(path.as_posix()) is not None


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files into a folder that appears, or takes the place of earlier results, in one step.

    Raises
    ------
    FolderRefused
        Where the folder holds anything that is not an earlier result; nothing is written then.
    """
    folder = folder.resolve()
    refuse_unless_ours(folder)
    folder.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix=f".{folder.name}-", dir=folder.parent) as beside:
        new, old = Path(beside) / "new", Path(beside) / "old"
        for name, content in files.items():
            file = new / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(content)
        _swap(new, folder, old)


def _swap(new: Path, folder: Path, old: Path) -> None:
    if not folder.exists():
        new.rename(folder)
        return
    folder.rename(old)
    try:
        new.rename(folder)
    except OSError:
        old.rename(folder)
        raise
