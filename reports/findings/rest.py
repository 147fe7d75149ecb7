"""The rest (kind 7): what stands high, what the kit may not be used for, what is disputed or missing."""

from collections.abc import Iterator

from reports.assessment import Finding, Kind
from reports.findings.shape import finding
from reports.floors.view import FloorView
from reports.response.absorbents import absorbent_conflict
from reports.response.advice import Cite
from reports.wording import counted, named, phrase
from survey.catalogue.product import Mark
from survey.vocabulary import KitKind, YesNoUnknown

FALL = Cite("stands-high", "common practice, no source", Mark.RECALLED)
STACK = Cite("unstable-stack", "29 CFR 1910.120(j)(1)", Mark.READ)
ABSORBENT = Cite("absorbent-conflict", "university list of absorbents by class; matrix group 101 with 104", Mark.READ)
DISPUTE = Cite("disputed-reading", "design rule: alternatives until settled", Mark.DERIVED)
DOOR = Cite("blocked-door", "common practice, no source", Mark.DERIVED)
OUTLET = Cite("outlet-not-found", "common practice, no source", Mark.DERIVED)

HIGH_M = 1.8
"""Above head height a drum comes down on somebody; a judgement, no published source."""


def rest_findings(view: FloorView) -> Iterator[Finding]:
    """Give the findings of one floor that no worse kind claims."""
    yield from _high(view)
    yield from _stacks(view)
    yield from _absorbents(view)
    yield from _disputes(view)
    yield from _doors(view)
    yield from _outlets(view)


def _high(view: FloorView) -> Iterator[Finding]:
    for zone in view.floor.zones:
        high = [p for p in view.floor.pallets if p.zone_id == zone.id and p.base_height_m > HIGH_M and p.drums]
        if high:
            top = max(pallet.base_height_m for pallet in high)
            drums = sum(len(pallet.counted) for pallet in high)
            yield finding(
                view,
                FALL,
                Kind.REST,
                f"{named([pallet.name for pallet in high])}: {counted(drums, 'drum')} stored up to {top:.1f} m high "
                "may fall onto the aisle.",
                "A drum that falls bursts, and what it lands on may burst too.",
                pallets=[pallet.name for pallet in high],
            )


def _stacks(view: FloorView) -> Iterator[Finding]:
    for pallet in view.floor.pallets:
        if pallet.stable is YesNoUnknown.NO:
            yield finding(
                view,
                STACK,
                Kind.REST,
                f"{pallet.name}: unstable stack, {max((drum.tier for drum in pallet.drums), default=1)} high. Nobody "
                "beside it or beneath it.",
                "It may come down without being touched.",
                pallets=[pallet.name],
                stop=True,
            )


def _absorbents(view: FloorView) -> Iterator[Finding]:
    for kit in view.site.kit:
        if kit.kind is not KitKind.ABSORBENT:
            continue
        for lot in view.lots:
            if lot.pallet.recorded_name == kit.beside_pallet and (why := absorbent_conflict(kit, lot.product)):
                yield finding(
                    view,
                    ABSORBENT,
                    Kind.REST,
                    f"{kit.name} lies beside {lot.pallet.name}. {why}",
                    "What lies nearest is what gets used.",
                    pallets=[lot.pallet.name],
                )


def _disputes(view: FloorView) -> Iterator[Finding]:
    for pallet in view.floor.pallets:
        if pallet.disputed:
            says = [f"{each.author} {each.taken_at:%d %b %H:%M}: {each.says}" for each in pallet.readings]
            yield finding(
                view,
                DISPUTE,
                Kind.REST,
                f"{pallet.name}: open readings differ. {'; '.join(says)}. The worse one is acted on; confirm by UN "
                "number.",
                "Two people read it differently and nobody has settled it.",
                pallets=[pallet.name],
                inputs=[(each.author, each.says) for each in pallet.readings],
            )


def _doors(view: FloorView) -> Iterator[Finding]:
    for door in view.floor.doors:
        if door.blocked:
            yield finding(
                view,
                DOOR,
                Kind.REST,
                f"{door.name} is blocked {phrase(door.blocked)}.",
                "A door on the plan that does not open costs the way in and the way out.",
                zones=[zone.name for zone in view.floor.zones if zone.outline.distance(door.line) < 1],
            )


def _outlets(view: FloorView) -> Iterator[Finding]:
    for drain in view.floor.drains:
        if drain.shape is None:
            yield finding(
                view,
                OUTLET,
                Kind.REST,
                f"Drain {drain.name} is drawn and was not found: at least one outlet is unaccounted for.",
                "Liquid may leave where nobody looks.",
                zones=[zone.name for zone in view.floor.zones],
                drains=[drain.name],
            )
