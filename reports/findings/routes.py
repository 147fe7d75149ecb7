"""Leaking or unidentified drums whose liquid has a way off the site (kind 4)."""

from collections.abc import Iterator, Sequence

from reports.assessment import Finding, Kind, Verdict
from reports.facts import DrumFact, PalletFact
from reports.findings.shape import finding
from reports.floors.drains import goal_text, severity, treated_as
from reports.floors.view import FloorView
from reports.response.advice import Cite
from reports.wording import contents, counted, listed
from survey.catalogue.product import Mark

LEAKING = Cite(
    "leaking-with-route", "design rule on routes; hierarchy of spill control, NFCC control measures", Mark.READ
)
UNIDENTIFIED = Cite(
    "unidentified-with-route", "29 CFR 1910.120(j)(1)(iv): unlabelled is hazardous until known", Mark.READ
)


def route_findings(view: FloorView) -> Iterator[Finding]:
    """Give one finding per pallet for its leaking drums, one for those nobody identified, and the sum of the leaks."""
    yield from _all_leaks(view)
    for pallet in view.floor.pallets:
        leaking = [drum for drum in pallet.drums if drum.leaking]
        if leaking:
            yield _leaking(view, pallet, leaking)
        unnamed = [drum for drum in pallet.drums if not drum.product.identified and not drum.leaking]
        if unnamed:
            yield _unidentified(view, pallet, unnamed)


def routes(view: FloorView, pallet: PalletFact, drums: Sequence[DrumFact]) -> tuple[str, ...]:
    """Name the ways these drums' liquid leaves the site, worst destination first, each as a clause."""
    ids = {drum.id for drum in drums}
    ways = []
    for arrival in view.drain_arrivals:
        if arrival.lot.pallet is not pallet or not arrival.target.startswith("drain "):
            continue
        verdicts = [each.verdict for drum, each in arrival.arrivals if drum.id in ids] or (
            [] if arrival.arrivals else [arrival.verdict]
        )
        best = min(verdicts, key=list(Verdict).index, default=Verdict.NOT_REACHED)
        if best is not Verdict.NOT_REACHED:
            drain = next(drain for drain in view.floor.drains if f"drain {drain.name}" == arrival.target)
            ways.append((severity(treated_as(drain)), f"{best} drain {drain.name} ({goal_text(drain)})"))
    reach = view.spills.one_drum([drum for drum in drums if drum.fill_l > 0])
    if reach is not None and reach.thin.off_map_l > 0:
        ways.append((len(ways), "may leave through the outer wall, not recorded tight at the floor"))
    return tuple(dict.fromkeys(way for _, way in sorted(ways)))


def _all_leaks(view: FloorView) -> Iterator[Finding]:
    """Add up the leaking drums of a floor where they stand on several pallets."""
    leaking = [drum for pallet in view.floor.pallets for drum in pallet.counted if drum.leaking]
    pallets = sorted({pallet.name for pallet in view.floor.pallets for drum in pallet.counted if drum.leaking})
    if len(pallets) > 1:
        litres = sum(drum.capacity_l for drum in leaking)
        drums = [drum for pallet in view.floor.pallets for drum in pallet.counted if not drum.empty_uncleaned]
        store = sum(drum.capacity_l for drum in drums)
        yield finding(
            view,
            LEAKING,
            Kind.LOOSE_WITH_ROUTE,
            f"{counted(len(leaking), 'drum')} leaking ({listed(pallets)}) could lose up to {litres:,.0f} L; the whole "
            f"store, {counted(len(drums), 'drum')}, up to {store:,.0f} L.",
            "Every drum taken as full of liquid, since fill and contents are not known.",
            pallets=pallets,
            drums=[drum.name for drum in leaking],
            litres=litres,
        )


def _leaking(view: FloorView, pallet: PalletFact, drums: Sequence[DrumFact]) -> Finding:
    ways = routes(view, pallet, drums)
    litres = sum(drum.fill_l for drum in drums if drum.counted)
    kinds = sorted({breach.kind.value for drum in drums for breach in drum.breaches})
    where = f" ({listed(kinds)})" if kinds else ""
    holds = contents(drum.product for drum in drums)
    lead = f"{pallet.name}: {counted(len(drums), 'drum')} ({holds}) leaking{where}, up to {litres:,.0f} L."
    return finding(
        view,
        LEAKING,
        Kind.LOOSE_WITH_ROUTE if ways else Kind.REST,
        f"{lead} {_ways(ways)}",
        "Liquid is loose now." if ways else "Liquid is loose; no way off the site was found within the film range.",
        pallets=[pallet.name],
        drums=[drum.name for drum in drums],
        drains=_drains(ways),
        litres=litres,
    )


def _unidentified(view: FloorView, pallet: PalletFact, drums: Sequence[DrumFact]) -> Finding:
    ways = routes(view, pallet, drums)
    litres = sum(drum.fill_l for drum in drums if drum.counted)
    hidden = sum(drum.hidden for drum in drums)
    seen = f", {hidden} of them not seen" if hidden else ""
    what = f"{counted(len(drums), 'drum')} not identified{seen}"
    if all(drum.unread for drum in drums):
        what = f"nobody has read it ({pallet.sighting}), number and contents of drums unknown"
    recorded = sorted({drum.product_as_recorded for drum in drums if drum.product_as_recorded})
    says = f" Recorded as: {listed([f'“{text}”' for text in recorded])}." if recorded else ""
    return finding(
        view,
        UNIDENTIFIED,
        Kind.LOOSE_WITH_ROUTE if ways else Kind.REST,
        f"{pallet.name}: {what}: hazardous until known.{says} {_ways(ways)}",
        "Nothing that counts says what is inside; a painted-over or contradicting label is not used.",
        pallets=[pallet.name],
        drums=[drum.name for drum in drums],
        drains=_drains(ways),
        litres=litres,
        stop=True,
    )


def _ways(ways: Sequence[str]) -> str:
    return f"Its liquid {listed(ways)}." if ways else "No drain or way out within the film range of this floor."


def _drains(ways: Sequence[str]) -> tuple[str, ...]:
    return tuple(way.split("drain ")[1].split(" ")[0] for way in ways if "drain " in way)
