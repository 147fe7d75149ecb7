"""What fails to hold liquid: bunds with open outlets, sprinkler water over a lip, drains within reach (kind 6)."""

from collections.abc import Iterator, Sequence

from reports.assessment import ContainmentAssessment, DrainAssessment, DrainReach, Finding, Kind, Verdict
from reports.findings.shape import finding
from reports.floors.bunds import WITH_SPRINKLERS
from reports.floors.drains import goal_text
from reports.floors.view import FloorView
from reports.response.advice import Cite
from reports.wording import MOST_NAMED, listed
from survey.catalogue.product import Mark

OUTLET = Cite("open-outlet", "40 CFR 264.175(b): base free of ways out; design rule on unproven outlets", Mark.READ)
OVERFLOW = Cite("sprinkler-overflow", "IFC 5004.2.2.3: largest vessel plus 20 min of sprinkler water", Mark.READ)
REACHED = Cite("drain-in-reach", "one drum over the film range of the recorded finish", Mark.DERIVED)
NO_KERB = Cite("no-containment", "40 CFR 264.175(b); IFC 5004.2.2", Mark.READ)


ANY_FILM_MM = 25.0
"""No published resting depth is larger (roughness table: potholes 25 mm)."""


def containment_findings(view: FloorView) -> Iterator[Finding]:
    """Give the findings of one floor about what does not hold."""
    for bund in view.containment:
        yield from _bund(view, bund)
        yield from _unknown_sprinkler(view, bund)
    for drain in view.drains:
        yield from _drain(view, drain)


def _bund(view: FloorView, bund: ContainmentAssessment) -> Iterator[Finding]:
    if bund.capacity_l == 0 and bund.drums:
        outlets = listed(bund.open_outlets) or "no kerb"
        cite = OUTLET if bund.geometric_l > 0 else NO_KERB
        yield finding(
            view,
            cite,
            Kind.CONTAINMENT_FAILS,
            f"{bund.name} holds 0 L: {outlets}. {bund.stored_l:,.0f} L of liquid stand in it.",
            "An outlet that is open or unproven counts as open."
            if bund.geometric_l > 0
            else "Nothing on this floor is recorded to hold liquid in.",
            zones=bund.zones,
            litres=bund.stored_l,
        )
    if bund.overflow_min is not None and bund.sprinkler_l_min is not None and bund.capacity_l > 0:
        twenty = next((rule for rule in bund.rules if rule.name == WITH_SPRINKLERS), None)
        need = ""
        if twenty is not None and twenty.needed_l is not None and not twenty.held:
            need = f" The largest drum and 20 min of sprinkler water ask for {twenty.needed_l:,.0f} L."
        yield finding(
            view,
            OVERFLOW,
            Kind.CONTAINMENT_FAILS if twenty is not None and not twenty.held else Kind.REST,
            f"{bund.name}: sprinkler water at {bund.sprinkler_l_min:,.0f} L/min runs over its {bund.lip_mm:g} mm lip "
            f"({bund.capacity_l:,.0f} L) in {bund.overflow_min:.1f} min.{need}",
            bund.assumption,
            zones=bund.zones,
            minutes=bund.overflow_min,
            litres=bund.capacity_l,
        )


def _first(parts: Sequence[str]) -> str:
    """Join what is said of several pallets, the nearest first, and count those past what a sentence bears."""
    if len(parts) <= MOST_NAMED + 1:
        return "; ".join(parts)
    return f"{'; '.join(parts[:MOST_NAMED])}; {len(parts) - MOST_NAMED} more"


def _depth(reach: DrainReach) -> str:
    if reach.critical_depth_mm is None:
        return ""
    low_mm = reach.critical_depth_mm.low
    return " at any film" if low_mm > ANY_FILM_MM else f" at any film up to {low_mm:.1f} mm"


def _unknown_sprinkler(view: FloorView, bund: ContainmentAssessment) -> Iterator[Finding]:
    if any(rule.needed_l is None for rule in bund.rules):
        yield finding(
            view,
            OVERFLOW,
            Kind.CONTAINMENT_FAILS,
            f"{bund.name}: the density of the sprinklers over it is not recorded: when they overflow it is unknown.",
            bund.assumption,
            zones=bund.zones,
        )


def _drain(view: FloorView, drain: DrainAssessment) -> Iterator[Finding]:
    arriving = [reach for reach in drain.reaches if reach.verdict is not Verdict.NOT_REACHED]
    goal = next(goal_text(fact) for fact in view.floor.drains if fact.id == drain.id)
    if arriving:
        parts = [f"{reach.pallet} {listed(reach.products)} {reach.verdict}{_depth(reach)}" for reach in arriving]
        yield finding(
            view,
            REACHED,
            Kind.CONTAINMENT_FAILS,
            f"Drain {drain.name} ({goal}): one leaking drum is enough. {_first(parts)}.",
            "Nothing recorded tight stands between these drums and the drain. "
            + (" ".join(f"{remark.capitalize()}." for remark in drain.remarks)),
            pallets=[reach.pallet for reach in arriving],
            drains=[drain.name],
            metres=min(reach.gap.metres for reach in arriving),
            litres=max(reach.litres.high for reach in arriving),
        )
    if drain.through_sumps:
        yield finding(
            view,
            REACHED,
            Kind.CONTAINMENT_FAILS,
            f"What is spilled in {listed(drain.through_sumps)} leaves through sumps and pipes to drain {drain.name} "
            f"({goal}).",
            "A pipe or valve between sump and drain is open, or not proven shut.",
            zones=drain.through_sumps,
            drains=[drain.name],
            metres=0.0,
        )
