"""Triggers that are there already: water over what reacts with it, heat at a peroxide, inhibitor past date (kind 3)."""

from collections.abc import Iterator, Sequence

from reports.alarms import alarming
from reports.assessment import Finding, Kind
from reports.findings.shape import finding
from reports.floors.lots import Lot
from reports.floors.together import NEARBY_M
from reports.floors.view import FloorView
from reports.response.advice import Cite
from reports.wording import counted, listed, phrase
from survey.catalogue.product import Mark, Trait
from survey.catalogue.separation import SEPARATION

WATER = Cite(
    "water-over-water-reactive", "NFPA 400 and IFC ch. 50, water-reactive materials; common practice", Mark.RECALLED
)
HEAT = Cite("heat-at-unstable", "common practice, no source; cases in EPA-F-99-006", Mark.DERIVED)
INHIBITOR = Cite("inhibitor-past-date", "common practice for inhibited monomers, no source", Mark.RECALLED)

WATER_SENSITIVE = frozenset({Trait.WATER_REACTIVE, Trait.SELF_HEATING})
HEAT_SENSITIVE = frozenset({Trait.ORGANIC_PEROXIDE, Trait.POLYMERISES, Trait.SELF_HEATING})


def trigger_findings(view: FloorView) -> Iterator[Finding]:
    """Give the findings of one floor about triggers at its stock."""
    for lot in view.lots:
        if lot.product.traits & WATER_SENSITIVE:
            yield from _water(view, lot)
        yield from _heat(view, lot)
        if Trait.POLYMERISES in lot.product.traits:
            yield from _inhibitor(view, lot)


def _water(view: FloorView, lot: Lot) -> Iterator[Finding]:
    sources = [
        (ingress.name, lot.pallet.footprint.distance(ingress.shape))
        for ingress in view.floor.water_ingress
        if lot.pallet.footprint.distance(ingress.shape) - lot.pallet.tolerance_m <= NEARBY_M
    ]
    names = [f"{name}, {metres:.1f} m away" for name, metres in sources]
    names += [
        f"sprinklers above, {phrase(sprinkler.name)}"
        for sprinkler in view.floor.sprinklers
        if sprinkler.covers is None or sprinkler.covers.intersects(lot.pallet.footprint)
    ]
    if not names:
        return
    known = bool(lot.product.known_traits & WATER_SENSITIVE)
    reacts = "reacts with water" if known else "may react with water: its safety data sheet leaves that open"
    yield finding(
        view,
        WATER,
        Kind.TRIGGER_PRESENT if known else Kind.REST,
        f"{lot.pallet.name}: {lot.product.name} {reacts}, and water can fall on it ({listed(names)}). {_keep_dry(lot)}",
        "A product that reacts with water or heats itself when damp stands under a source of water.",
        pallets=[lot.pallet.name],
        drums=[drum.name for drum in lot.drums],
        inputs=[("water", "; ".join(names)), ("product", lot.product.name)],
        metres=min((metres for _, metres in sources), default=0.0),
    )


def _keep_dry(lot: Lot) -> str:
    """Say what water does to this product, and so what is and is not done with water."""
    if Trait.ISOCYANATE in lot.product.known_traits:
        return (
            "Keep water and amines away: a wetted drum makes carbon dioxide and can burst. No sealed overpack; watch "
            "for a bulge from a distance."
        )
    if Trait.SELF_HEATING in lot.product.known_traits:
        return (
            "Not burning: keep it dry, stop the water, take it up with dry inert absorbent. Burning: flooding amounts "
            "from a distance or withdraw, the incident commander's choice; sprinklers are not shut during a fire "
            "(Emergency Response Guidebook guide 135, recalled: verify)."
        )
    return "Keep it dry and stop the water; water makes heat, gas or spatter. No water stream on it."


def _heat(view: FloorView, lot: Lot) -> Iterator[Finding]:
    for heat in view.floor.heat_sources:
        metres = lot.pallet.footprint.distance(heat.at)
        near_m = SEPARATION.value if Trait.ORGANIC_PEROXIDE in lot.product.traits else NEARBY_M
        if metres - lot.pallet.tolerance_m > near_m:
            continue
        signs = sorted({word for drum in lot.drums for word in alarming(drum)})
        known = bool(lot.product.known_traits & HEAT_SENSITIVE)
        kind = Kind.TRIGGER_PRESENT if known or signs else Kind.REST
        advice = _near_heat(lot, signs)
        off = f" Shut the heat off only from outside: {phrase(heat.shut_off) or 'place not recorded'}."
        yield finding(
            view,
            HEAT,
            kind,
            f"{lot.pallet.name}: {lot.product.name} stands {metres:.1f} m from a {heat.kind} ({heat.name}). "
            f"{advice}{off}",
            "Heat drives peroxides, monomers and closed drums toward decomposition or pressure.",
            pallets=[lot.pallet.name],
            drums=[drum.name for drum in lot.drums],
            inputs=[("distance", f"{metres:.2f} m"), ("heat source", heat.name)],
            metres=metres,
        )


def _near_heat(lot: Lot, signs: Sequence[str]) -> str:
    """Say what is done about a lot near heat: by what it is, then by how its drums look, then by what it may be."""
    product = lot.product
    if product.known_traits & HEAT_SENSITIVE:
        if Trait.ORGANIC_PEROXIDE in product.traits:
            return "Control its temperature; keep metals, amines and accelerators out."
        return "Watch its temperature."
    if signs:
        return f"A drum here is {listed(signs)}: the heat may contribute."
    if product.traits & HEAT_SENSITIVE:
        return "Its safety data sheet leaves open whether heat sets it off: watch its temperature."
    return "Move the stock or the heat."


def _inhibitor(view: FloorView, lot: Lot) -> Iterator[Finding]:
    today = view.site.as_of
    past = [drum for drum in lot.drums if drum.inhibitor_until is not None and drum.inhibitor_until < today]
    undated = [drum for drum in lot.drums if drum.inhibitor_until is None]
    if past:
        dates = listed(sorted({f"{drum.inhibitor_until:%d %b %Y}" for drum in past}))
        yield finding(
            view,
            INHIBITOR,
            Kind.TRIGGER_PRESENT,
            f"{lot.pallet.name}: {counted(len(past), 'drum')} of {lot.product.name} past inhibitor date ({dates}): may "
            "polymerise, heat and bulge. Watch the temperature from a distance; no sealed overpack.",
            "Without working inhibitor the monomer can start to polymerise by itself.",
            pallets=[lot.pallet.name],
            drums=[drum.name for drum in past],
            inputs=[("inhibitor until", dates), ("judged on", f"{today:%d %b %Y}")],
        )
    if undated:
        yield finding(
            view,
            INHIBITOR,
            Kind.REST,
            f"{lot.pallet.name}: inhibitor date of {counted(len(undated), 'drum')} of {lot.product.name} not recorded.",
            "A missing date is unknown, not good.",
            pallets=[lot.pallet.name],
            drums=[drum.name for drum in undated],
        )
