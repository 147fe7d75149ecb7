"""The demo sites as plain shapes, straight from the committed files: no geometry of the project in between."""

from collections.abc import Sequence
from functools import cache
from math import pi

from shapely import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from seed_demo.loader import MAX_FILE_BYTES, survey_files
from survey.bundle import Survey, parse
from survey.tables.floor import BundFields, DrainFields
from survey.tables.stock import DrumFields, PalletFields, ReadingFields

DRUM_L = 208.0


@cache
def site(name: str) -> Survey:
    """Read one committed survey file."""
    (file,) = (file for file in survey_files() if file.stem == name)
    return parse(file.read_bytes(), max_bytes=MAX_FILE_BYTES)


def pallet(survey: Survey, name: str) -> PalletFields:
    (found,) = (pallet for pallet in survey.pallets if pallet.name == name)
    return found


def readings(survey: Survey, name: str) -> list[ReadingFields]:
    """Give the readings of one pallet, earliest first."""
    stand = pallet(survey, name)
    return sorted((row for row in survey.readings if row.pallet_id == stand.id), key=lambda row: row.taken_at)


def drums(survey: Survey, *names: str) -> list[DrumFields]:
    """Give the drums of the first reading of each pallet named, or of every pallet, by their names."""
    chosen = [stand.name for stand in survey.pallets if not names or stand.name in names]
    first = {readings(survey, name)[0].id for name in chosen}
    return sorted((drum for drum in survey.drums if drum.reading_id in first), key=lambda drum: drum.name)


def drum(survey: Survey, name: str) -> DrumFields:
    (found,) = (drum for drum in drums(survey) if drum.name == name)
    return found


def drain(survey: Survey, name: str) -> DrainFields:
    (found,) = (drain for drain in survey.drains if drain.name == name)
    return found


def bund(survey: Survey, name: str) -> BundFields:
    (found,) = (bund for bund in survey.bunds if bund.name == name)
    return found


def footprint(stand: PalletFields) -> Polygon:
    """Give the footprint; no demo pallet is turned."""
    x, y = stand.at
    return box(x - stand.width_m / 2, y - stand.depth_m / 2, x + stand.width_m / 2, y + stand.depth_m / 2)


def place(points: Sequence[tuple[float, float]]) -> BaseGeometry:
    return Point(points[0]) if len(points) == 1 else LineString(points)


def spot(survey: Survey, name: str) -> Point:
    """Give the place of one drum: the middle of its pallet plus its offset."""
    found = drum(survey, name)
    stand = pallet(survey, name.rsplit("-", 1)[0])
    assert found.offset is not None
    return Point(stand.at[0] + found.offset[0], stand.at[1] + found.offset[1])


def gap_m(survey: Survey, first: str, second: str) -> float:
    """Give the straight distance between the edges of two pallets."""
    return footprint(pallet(survey, first)).distance(footprint(pallet(survey, second)))


def drain_gap_m(survey: Survey, name: str, drain_name: str) -> float:
    """Give the straight distance from the edge of a pallet to a drain."""
    return footprint(pallet(survey, name)).distance(place(drain(survey, drain_name).line))


def drum_distances_m(survey: Survey, name: str, drain_name: str) -> tuple[float, float]:
    """Give the distance from a drain to the nearest and to the farthest drum centre of a pallet."""
    target = place(drain(survey, drain_name).line)
    distances = [spot(survey, found.name).distance(target) for found in drums(survey, name)]
    return min(distances), max(distances)


def critical_depth_mm(distance_m: float) -> float:
    """Give the depth of the level disc that holds one drum and just reaches this far: V / (π d²)."""
    return DRUM_L / (pi * distance_m**2)
