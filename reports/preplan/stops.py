"""STOP lines: the same line for several drums is printed once, with all of them."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reports.assessment import Assessment
from reports.maps import grid_of
from reports.preplan.plan import StopText
from reports.preplan.words import basis, drum_names, sentence
from reports.response.advice import StopLine
from reports.wording import listed

_MOST_PLACES = 4
_MOST_ASIDES = 6
"""With more differences than this between the drums of one line, the map says it better."""
_ASIDE = re.compile(r" \(([^()]*)\)")


@dataclass(frozen=True, slots=True)
class Place:
    """Floor, storage zone and pallet in words, ending in a comma where there are any, and the grid square."""

    within: str
    square: str


def stop_texts(stops: Sequence[StopLine], places: Mapping[str, Place]) -> tuple[StopText, ...]:
    """Gather the lines of one rule with one wording, in the order of their worst drum.

    What stands in brackets may differ from drum to drum (*beside it (A09-2, touching)*): it is then said per drum.

    Parameters
    ----------
    stops
        Worst first.
    places
        Where each drum stands, by its name.
    """
    groups: dict[tuple[str, str, str, str], list[StopLine]] = {}
    for stop in stops:
        key = (stop.cite.rule, _ASIDE.sub("", _bare(stop)), stop.because, stop.instead)
        groups.setdefault(key, []).append(stop)
    return tuple(_text(lines, places) for lines in groups.values())


def _bare(stop: StopLine) -> str:
    """The sentence without the drum's name in front, which is set on its own."""
    return stop.sentence.removeprefix(stop.drum).lstrip(": ")


def _text(lines: Sequence[StopLine], places: Mapping[str, Place]) -> StopText:
    first = lines[0]
    drums = [line.drum for line in lines]
    asides: dict[str, list[str]] = {}
    for line in lines:
        asides.setdefault(", ".join(_ASIDE.findall(_bare(line))), []).append(line.drum)
    return StopText(
        drums=drum_names(drums),
        where=_where([places[drum] for drum in drums if drum in places]),
        sentence=sentence(_bare(first) if len(asides) == 1 else _ASIDE.sub("", _bare(first))),
        details=_details(asides),
        because=sentence(first.because),
        instead=sentence(first.instead),
        basis=basis(first.cite),
    )


def _details(asides: Mapping[str, Sequence[str]]) -> str:
    if len(asides) == 1 or len(asides) > _MOST_ASIDES:
        return ""
    return "; ".join(f"{drum_names(drums)}: {aside}" for aside, drums in asides.items())


def _where(places: Sequence[Place]) -> str:
    """Name each storage zone once, with its squares: *Z4, square I3; Z6, squares L8 and M8*."""
    squares: dict[str, list[str]] = {}
    for place in places:
        if place.square not in squares.setdefault(place.within, []):
            squares[place.within].append(place.square)
    parts = [f"{within}square{'' if len(each) == 1 else 's'} {listed(each)}" for within, each in squares.items()]
    more = f" and {len(parts) - _MOST_PLACES} more places" if len(parts) > _MOST_PLACES else ""
    return "; ".join(parts[:_MOST_PLACES]) + more


def places_of(assessment: Assessment) -> dict[str, Place]:
    """Where every drum under a STOP line stands."""
    places = {}
    for floor in assessment.floors:
        grid = grid_of(floor)
        floor_name = f"{floor.name}, " if len(assessment.floors) > 1 else ""
        for pallet in floor.pallets:
            zone = f"{pallet.zone}, " if pallet.zone else ""
            for drum in pallet.stopped_drums:
                stand = "" if drum.startswith(pallet.name) else f"{pallet.name}, "
                places[drum] = Place(f"{floor_name}{zone}{stand}", grid.reference(pallet.at))
    return places
