"""Pairs that react: lethal gas where liquids meet (kind 2), everything else that meets, stands close or above (5)."""

from collections.abc import Iterator, Sequence
from math import inf

import numpy as np

from geometry.incompatible_neighbours import parted
from reports.assessment import Finding, Kind, PairAssessment, Verdict
from reports.findings.shape import finding
from reports.floors.neighbours import FLOOR, PLACE_UNKNOWN
from reports.floors.view import FloorView
from reports.pair_groups import clause, grouped, more_of, named, places
from reports.tolerance import distance_text
from reports.wording import listed
from survey.catalogue.compatibility import LEFT_OPEN, NO_GROUPS
from survey.catalogue.separation import PARTITION_RISE, SEPARATION
from survey.vocabulary import YesNoUnknown

_NO_PARTITION = {
    YesNoUnknown.UNKNOWN: (
        f"whether it is noncombustible and rises {PARTITION_RISE.value:g} mm above and beside them is not on record"
    ),
    YesNoUnknown.NO: "it does not meet the rule for partitions",
}
"""Why a wall does not stand in place of distance."""


def pair_findings(view: FloorView) -> Iterator[Finding]:
    """Give one finding per pair of products and storage zones, whichever pallets they stand on.

    Where places in a block are not known, zones tell nothing and are left out of the grouping; what is not identified
    is named once beside all its neighbours in a pair of storage zones.
    """
    for group in grouped(view.pairs):
        yield _together(view, group)


def _together(view: FloorView, pairs: Sequence[PairAssessment]) -> Finding:
    worst = pairs[0]
    meets = worst.meets is not Verdict.NOT_REACHED
    kind = Kind.LETHAL_GAS_MEETING if worst.lethal and worst.certain and meets else Kind.OTHER_PAIR
    where = sorted(places(pairs))
    metres = min(_metres(pair) for pair in pairs)
    return finding(
        view,
        worst.cite,
        kind,
        f"{named(pairs)}: together they {clause(worst)}. {_how(pairs)}{_more(pairs)}",
        _reason(view, worst),
        pallets=sorted({name for pair in pairs for name in (pair.a, pair.b)}),
        drains=[place.removeprefix("drain ") for place in where if place.startswith("drain ")],
        inputs=[
            ("separation", "not known" if worst.separation is None else distance_text(worst.separation)),
            ("liquids", worst.meets.value),
            ("where", "; ".join(where) or "nowhere within the film range"),
        ],
        metres=None if metres == inf else metres,
    )


def _metres(pair: PairAssessment) -> float:
    if pair.hydraulic_m is not None and any(place.startswith(("sump", "drain")) for place in places([pair])):
        return pair.hydraulic_m
    return inf if pair.separation is None else pair.separation.metres


def _how(pairs: Sequence[PairAssessment]) -> str:
    worst = pairs[0]
    known = [pair.separation for pair in pairs if pair.separation is not None]
    if not known:
        apart = "Where they stand in their blocks is not known: that they meet cannot be excluded."
    elif any(pair.a == pair.b for pair in pairs):
        apart = "They stand on the same pallet."
    else:
        nearest = min(known, key=lambda distance: distance.metres)
        apart = f"They stand {distance_text(nearest)} apart."
    if any(pair.above for pair in pairs):
        apart += " One stands above the other."
    meeting = sorted(set(places(pairs)) - {PLACE_UNKNOWN})
    if worst.meets is Verdict.NOT_REACHED or not meeting:
        return apart
    verb = "meet" if worst.meets is Verdict.REACHES else "may meet"
    joined = any(place.startswith(("sump", "drain")) for place in meeting)
    by_way = ", 0 m apart by way of the drains" if joined else ""
    where = listed([f"on {place}" if place == FLOOR else f"in {place}" for place in reversed(meeting)])
    return f"{apart} Their liquids {verb} {where}{by_way}."


def _more(pairs: Sequence[PairAssessment]) -> str:
    more = more_of(pairs)
    return f" There are {more}." if more else ""


def _reason(view: FloorView, pair: PairAssessment) -> str:
    if pair.cite.rule == NO_GROUPS:
        return "One of them is in no group of the chart, so that a reaction cannot be excluded."
    if pair.cite.rule == LEFT_OPEN:
        return "A safety data sheet leaves open what one of them is, so that a reaction cannot be excluded."
    if not pair.certain:
        return "One of them is not identified, so that a reaction cannot be excluded."
    if pair.separation is None:
        return "They are in the same block or in blocks side by side, and only the face of a block was seen."
    if pair.meets is not Verdict.NOT_REACHED:
        return "One leaking drum of each is enough for the liquids to come together."
    asked = f"Closer than the {SEPARATION.value:g} m separation asked for in buildings, or one above the other."
    return f"{asked}{_wall_between(view, pair)}"


def _wall_between(view: FloorView, pair: PairAssessment) -> str:
    """Say so where a wall parts two pallets, and why it does not stand in place of distance."""
    places = [view.pallet(name).footprint for name in (pair.a, pair.b)]
    one, other = np.array([0]), np.array([1])
    for answer, why in _NO_PARTITION.items():
        walls = [wall.line for wall in view.floor.walls if wall.meets_partition_rule is answer]
        if walls and parted(places, one, other, walls).all():
            return f" A wall stands between them: {why}."
    return ""
