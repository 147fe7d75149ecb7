"""STOP lines: the same line for several drums is printed once, with all of them."""

from collections.abc import Mapping, Sequence

from reports.assessment import Assessment
from reports.maps import grid_of
from reports.preplan.plan import StopText
from reports.preplan.words import basis, drum_names, sentence
from reports.response.advice import StopLine

_MOST_PLACES = 4


def stop_texts(stops: Sequence[StopLine], places: Mapping[str, str]) -> tuple[StopText, ...]:
    """Gather the lines of one rule with one wording, in the order of their worst drum.

    Parameters
    ----------
    stops
        Worst first.
    places
        Storage zone and grid square by drum name.
    """
    groups: dict[tuple[str, str, str, str], list[StopLine]] = {}
    for stop in stops:
        key = (stop.cite.rule, _bare(stop), stop.because, stop.instead)
        groups.setdefault(key, []).append(stop)
    return tuple(_text(lines, places) for lines in groups.values())


def _bare(stop: StopLine) -> str:
    """The sentence without the drum's name in front, which is set on its own."""
    return stop.sentence.removeprefix(stop.drum).lstrip(": ")


def _text(lines: Sequence[StopLine], places: Mapping[str, str]) -> StopText:
    first = lines[0]
    drums = [line.drum for line in lines]
    where = list(dict.fromkeys(places[drum] for drum in drums if drum in places))
    more = f" and {len(where) - _MOST_PLACES} more places" if len(where) > _MOST_PLACES else ""
    return StopText(
        drums=drum_names(drums),
        where="; ".join(where[:_MOST_PLACES]) + more,
        sentence=sentence(_bare(first)),
        because=sentence(first.because),
        instead=sentence(first.instead),
        basis=basis(first.cite),
    )


def places_of(assessment: Assessment) -> dict[str, str]:
    """Storage zone and grid square of every drum under a STOP line."""
    places = {}
    for floor in assessment.floors:
        grid = grid_of(floor)
        floor_name = f"{floor.name}, " if len(assessment.floors) > 1 else ""
        for pallet in floor.pallets:
            zone = f"{pallet.zone}, " if pallet.zone else ""
            for drum in pallet.stopped_drums:
                stand = "" if drum.startswith(pallet.name) else f"{pallet.name}, "
                places[drum] = f"{floor_name}{zone}{stand}square {grid.reference(pallet.at)}"
    return places
