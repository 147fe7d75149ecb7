"""Pairs that react: lethal gas where liquids meet (kind 2), everything else that meets, stands close or above (5)."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from math import inf

from reports.assessment import Finding, Kind, PairAssessment, Verdict
from reports.findings.shape import finding
from reports.floors.view import FloorView
from reports.wording import distance_text, listed
from survey.catalogue.separation import SEPARATION

_Key = tuple[frozenset[str], frozenset[str], str, bool]


def pair_findings(view: FloorView) -> Iterator[Finding]:
    """Give one finding per pair of products and storage zones, whichever pallets they stand on."""
    groups: dict[_Key, list[PairAssessment]] = defaultdict(list)
    for pair in view.pairs:
        products = frozenset((pair.product_a, pair.product_b))
        zones = frozenset((pair.zone_a or "", pair.zone_b or ""))
        groups[(products, zones, pair.reaction, pair.meets is not Verdict.NOT_REACHED)].append(pair)
    for group in groups.values():
        yield _together(view, group)


def _together(view: FloorView, pairs: Sequence[PairAssessment]) -> Finding:
    worst = pairs[0]
    meets = worst.meets is not Verdict.NOT_REACHED
    kind = Kind.LETHAL_GAS_MEETING if worst.lethal and worst.certain and meets else Kind.OTHER_PAIR
    pallets = sorted({name for pair in pairs for name in (pair.a, pair.b)})
    drains = sorted(
        {place.removeprefix("drain ") for pair in pairs for place in pair.where if place.startswith("drain ")}
    )
    metres = min(_metres(pair) for pair in pairs)
    return finding(
        view,
        worst.cite,
        kind,
        f"{_names(pairs)}: together they {worst.reaction}. {_how(pairs)}",
        _reason(worst),
        pallets=pallets,
        drains=drains,
        inputs=[
            ("separation", "not known" if worst.separation is None else distance_text(worst.separation)),
            ("liquids", worst.meets.value),
            ("where", "; ".join(worst.where) or "nowhere within the film range"),
        ],
        metres=None if metres == inf else metres,
    )


def _metres(pair: PairAssessment) -> float:
    if pair.hydraulic_m is not None and any(place.startswith(("sump", "drain")) for place in pair.where):
        return pair.hydraulic_m
    return inf if pair.separation is None else pair.separation.metres


def _names(pairs: Sequence[PairAssessment]) -> str:
    first = pairs[0]
    if first.product_a == first.product_b:
        return f"{first.product_a} ({listed(sorted({name for pair in pairs for name in (pair.a, pair.b)}))})"
    sides: dict[str, set[str]] = defaultdict(set)
    for pair in pairs:
        sides[pair.product_a].add(pair.a)
        sides[pair.product_b].add(pair.b)
    parts = [f"{product} ({listed(sorted(sides[product]))})" for product in (first.product_a, first.product_b)]
    return " and ".join(parts)


def _how(pairs: Sequence[PairAssessment]) -> str:
    worst = pairs[0]
    nearest = min(
        (pair.separation for pair in pairs if pair.separation is not None), key=lambda each: each.metres, default=None
    )
    if nearest is None:
        apart = "Where they stand in their block is not known, so that they meet cannot be excluded."
    elif worst.a == worst.b:
        apart = "They stand on the same pallet."
    else:
        apart = f"They stand {distance_text(nearest)} apart."
    if worst.above:
        apart += " One stands above the other."
    places = sorted({place for pair in pairs for place in pair.where})
    if worst.meets is Verdict.NOT_REACHED:
        return apart
    verb = "meet" if worst.meets is Verdict.REACHES else "may meet"
    joined = [place for place in places if place.startswith(("sump", "drain"))]
    if joined:
        return f"{apart} Their liquids {verb} in {listed(joined)}, 0 m apart by way of the drains."
    return f"{apart} Their liquids {verb} on the floor."


def _reason(pair: PairAssessment) -> str:
    if not pair.certain:
        return "One of them is not identified, so that a reaction cannot be excluded."
    if pair.meets is not Verdict.NOT_REACHED:
        return "One leaking drum of each is enough for the liquids to come together."
    return f"Closer than the {SEPARATION.value:g} m separation asked for in buildings, or one above the other."
