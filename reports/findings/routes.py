"""Leaking or unidentified drums whose liquid has a way off the site (kind 4)."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from uuid import UUID

from reports.assessment import Finding, Kind, Verdict
from reports.facts import DrumFact, PalletFact
from reports.findings.shape import finding
from reports.floors.drains import goal_text, severity, treated_as
from reports.floors.view import FloorView
from reports.response.advice import Cite
from reports.wording import contents, counted, listed, named
from survey.catalogue.product import Mark
from survey.vocabulary import BreachPlace, Orientation

LEAKING = Cite(
    "leaking-with-route", "design rule on routes; hierarchy of spill control, NFCC control measures", Mark.READ
)
UNIDENTIFIED = Cite(
    "unidentified-with-route", "29 CFR 1910.120(j)(1)(iv): unlabelled is hazardous until known", Mark.READ
)


@dataclass(frozen=True, slots=True)
class Way:
    """One way off the site: how bad where it leads is, the clause that says it, and the drain where it is one."""

    severity: int
    clause: str
    drain: str | None


def route_findings(view: FloorView) -> Iterator[Finding]:
    """Give one finding per pallet for its leaking drums, one for those nobody identified, and the sum of the leaks."""
    yield from _all_leaks(view)
    for pallet in view.floor.pallets:
        leaking = [drum for drum in pallet.drums if drum.leaking]
        if leaking:
            yield _leaking(view, pallet, leaking)
        unnamed = [drum for drum in pallet.drums if drum.contents_unknown and not drum.leaking]
        if unnamed:
            yield _unidentified(view, pallet, unnamed)


def ways_off(view: FloorView, pallet: PalletFact, drums: Sequence[DrumFact]) -> tuple[Way, ...]:
    """Give the ways these drums' liquid leaves the site, worst destination first.

    A drain that is known and was not found is one: nobody can say that it is out of reach.
    """
    ways = [*_drains_reached(view, pallet, {drum.id for drum in drums}), *_lost_drains(view)]
    reach = view.spills.one_drum([drum for drum in drums if drum.fill_l > 0])
    if reach is not None and reach.thin.off_map_l > 0:
        ways.append(Way(_LAST, "may leave through the outer wall or a door, not recorded tight at the floor", None))
    return tuple(dict.fromkeys(sorted(ways, key=lambda way: (way.severity, way.clause))))


_LAST = 99


def _drains_reached(view: FloorView, pallet: PalletFact, drums: set[UUID]) -> Iterator[Way]:
    by_target = {f"drain {drain.name}": drain for drain in view.floor.drains}
    for arrival in view.arrivals_of.get(pallet.id, ()):
        if arrival.target.startswith("sump "):
            continue
        verdicts = [each.verdict for drum, each in arrival.arrivals if drum.id in drums] or (
            [] if arrival.arrivals else [arrival.verdict]
        )
        best = min(verdicts, key=list(Verdict).index, default=Verdict.NOT_REACHED)
        if best is Verdict.NOT_REACHED:
            continue
        drain = by_target.get(arrival.target)
        if drain is None:
            yield Way(_LAST, f"{best} {arrival.target}", None)
        else:
            clause = f"{best} drain {drain.name} ({goal_text(drain)})"
            yield Way(severity(treated_as(drain)), clause, drain.name)


def _lost_drains(view: FloorView) -> Iterator[Way]:
    for drain in view.floor.drains:
        if drain.shape is None:
            yield Way(severity(treated_as(drain)), f"may reach drain {drain.name}, which was not found", drain.name)


def _all_leaks(view: FloorView) -> Iterator[Finding]:
    """Add up the leaking drums of a floor where they stand on several pallets."""
    leaking = [pallet for pallet in view.floor.pallets if any(drum.leaking for drum in pallet.drums)]
    if len(leaking) < 2:
        return
    drums = sum(pallet.most(lambda drum: float(drum.leaking)) for pallet in leaking)
    litres = sum(pallet.most(lambda drum: drum.capacity_l if drum.leaking else 0.0) for pallet in leaking)
    store = sum(
        pallet.most(lambda drum: 0.0 if drum.empty_uncleaned else drum.capacity_l) for pallet in view.floor.pallets
    )
    yield finding(
        view,
        LEAKING,
        Kind.LOOSE_WITH_ROUTE,
        f"{counted(int(drums), 'drum')} leaking ({named([pallet.name for pallet in leaking])}) could lose up to "
        f"{litres:,.0f} L; the whole store, every drum taken as full of liquid, up to {store:,.0f} L.",
        "Every drum taken as full of liquid, the leaking ones too.",
        pallets=[pallet.name for pallet in leaking],
        drums=[drum.name for pallet in leaking for drum in pallet.drums if drum.leaking],
        litres=litres,
    )


def _leaking(view: FloorView, pallet: PalletFact, drums: Sequence[DrumFact]) -> Finding:
    ways = ways_off(view, pallet, drums)
    litres = pallet.litres_of(drums)
    holds = contents(drum.product for drum in drums)
    where = listed(sorted({_breach(drum) for drum in drums} - {""}))
    how = f" ({where})" if where else ""
    lead = f"{pallet.name}: {counted(len(drums), 'drum')} ({holds}) leaking{how}, up to {litres:,.0f} L."
    return finding(
        view,
        LEAKING,
        Kind.LOOSE_WITH_ROUTE if ways else Kind.REST,
        f"{lead} {_ways(view, ways)}",
        "Liquid is loose now." if ways else "Liquid is loose; no way off the site was found within the film range.",
        pallets=[pallet.name],
        drums=[drum.name for drum in drums],
        drains=_names(ways),
        litres=litres,
    )


def _breach(drum: DrumFact) -> str:
    """Say how a drum leaks: what, where on it, and how it lies."""
    breaches = [
        breach.kind.value if breach.place is BreachPlace.UNKNOWN else f"{breach.kind}, {breach.place}"
        for breach in drum.breaches
    ]
    lies = {Orientation.LYING: "lies on its side", Orientation.INVERTED: "stands upside down"}.get(drum.orientation)
    return "; ".join([*breaches, *([lies] if lies else [])])


def _unidentified(view: FloorView, pallet: PalletFact, drums: Sequence[DrumFact]) -> Finding:
    ways = ways_off(view, pallet, drums)
    hidden = sum(drum.hidden for drum in drums)
    seen = f", {hidden} of them not seen" if hidden else ""
    what = f"{counted(len(drums), 'drum')} not identified{seen}"
    if all(drum.unread for drum in drums):
        what = f"no reading of it stands ({pallet.sighting}), number and contents of drums unknown"
    recorded = sorted({drum.product_as_recorded for drum in drums if drum.product_as_recorded})
    says = f" Recorded as: {listed([f'“{text}”' for text in recorded])}." if recorded else ""
    return finding(
        view,
        UNIDENTIFIED,
        Kind.LOOSE_WITH_ROUTE if ways else Kind.REST,
        f"{pallet.name}: {what}: hazardous until known.{says} {_ways(view, ways)}",
        "Nothing that counts says what is inside; a painted-over or contradicting label is not used.",
        pallets=[pallet.name],
        drums=[drum.name for drum in drums],
        drains=_names(ways),
        litres=pallet.litres_of(drums),
        stop=True,
    )


def _ways(view: FloorView, ways: Sequence[Way]) -> str:
    if ways:
        return f"Its liquid {listed([way.clause for way in ways])}."
    none = "" if view.floor.drains else "No drain is recorded on this floor. "
    return f"{none}No drain or way out was found within the film range of this floor."


def _names(ways: Sequence[Way]) -> tuple[str, ...]:
    return tuple(way.drain for way in ways if way.drain is not None)
