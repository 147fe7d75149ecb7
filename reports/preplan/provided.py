"""People and kit as the paper words them: overpacks, ensembles, instruments, cleaning, kit, who must be told."""

from collections.abc import Iterable, Iterator, Sequence

from reports.assessment import Assessment
from reports.preplan.plan import (
    AbsorbentText,
    DecontaminationText,
    DutyText,
    KitText,
    MonitorText,
    NotificationText,
    OverpackLine,
    OverpackText,
    Pairs,
    ProtectionText,
    RuleText,
    WayText,
)
from reports.preplan.words import NONE_RECORDED, basis, capital, drum_names, sentence
from reports.response.advice import (
    AbsorbentAdvice,
    DecontaminationLine,
    DutyLine,
    Ensemble,
    KitLine,
    MonitorLine,
    NotificationLine,
    OverpackNeed,
    OverpackRow,
    Who,
)
from reports.response.salvage import transport_rules
from reports.wording import listed

NO_WAY = "none with the gear and room on record: bring a drum hoist or lifter"
NOTHING = "nothing"


def overpack_texts(needs: Sequence[OverpackNeed], stopped: Iterable[str]) -> Iterator[OverpackText]:
    """Word the salvage drums of a storage zone, drums that need the same together."""
    held = frozenset(stopped)
    groups: dict[tuple[object, ...], list[OverpackNeed]] = {}
    for need in needs:
        key = (
            need.product,
            need.size_label,
            need.material,
            need.vented,
            need.handling,
            need.remark,
            need.possible,
            need.cite,
            need.padding,
            _way(need),
            need.drum in held,
        )
        groups.setdefault(key, []).append(need)
    for same in groups.values():
        first = same[0]
        yield OverpackText(
            drums=drum_names([need.drum for need in same]),
            product=first.product,
            into=_into(first) if first.possible else "none",
            handling=first.handling,
            way=_way(first),
            remark=first.remark,
            possible=first.possible,
            stopped=first.drum in held,
            bases=tuple(basis(cite) for cite in (first.cite, *(first.rests_on if first.possible else ()))),
        )


def _into(need: OverpackNeed) -> str:
    vented = ", vented" if need.vented else ""
    liquid = f", to take up as much as {need.free_liquid_l:.0f} L" if need.free_liquid_l else ""
    return (
        f"{need.size_label} {need.material}{vented}: {need.fit}; padding {need.padding}{liquid}; "
        f"{need.gross_kg:.0f} kg gross, {need.net_kg:.0f} kg net"
    )


def _way(need: OverpackNeed) -> str:
    if not need.possible:
        return ""
    taken = [way.name for way in need.ways if not way.refused]
    return listed(taken[:1]) + (f" (or {listed(taken[1:])})" if taken[1:] else "") if taken else NO_WAY


def way_texts(assessment: Assessment) -> tuple[WayText, ...]:
    """Word each way in once that is open to some drum of the site."""
    ways = {
        way.cite.rule: way
        for floor in assessment.floors
        for zone in floor.zones
        for need in zone.overpacks
        for way in need.ways
        if not way.refused
    }
    return tuple(WayText(way.name, way.people, way.text, basis(way.cite)) for _, way in sorted(ways.items()))


def transport_texts() -> tuple[RuleText, ...]:
    """Word what the transport rules ask of salvage drums."""
    return tuple(RuleText(rule.text, basis(rule.cite)) for rule in transport_rules())


def overpack_lines(rows: Sequence[OverpackRow]) -> tuple[OverpackLine, ...]:
    """Word the salvage drums needed, there and missing."""
    return tuple(
        OverpackLine(
            what=f"{row.size_label}, {row.material}{', vented' if row.vented else ''}",
            products=listed(row.products),
            drums=str(row.drums_served),
            needed=str(row.needed),
            on_site=str(row.on_site),
            on_apparatus=str(row.on_apparatus),
            missing=str(row.missing),
            remark=row.remark,
            short=row.missing > 0,
        )
        for row in rows
    )


def kit_texts(lines: Sequence[KitLine]) -> tuple[KitText, ...]:
    """Word the kit list; a quantity nobody can state is a dash, not a zero."""
    return tuple(
        KitText(
            item=line.item,
            why=line.why,
            needed="–" if line.needed is None else str(line.needed),
            on_site=str(line.on_site),
            on_apparatus=str(line.on_apparatus),
            missing="–" if line.missing is None else str(line.missing),
            remark=line.remark,
            short=bool(line.missing),
            basis=basis(line.cite),
        )
        for line in lines
    )


def kit_summary(lines: Sequence[KitLine]) -> Pairs:
    """Word the kit of a storage zone in four lines: take, have on site, have on the apparatus, missing."""
    needed = [line for line in lines if line.needed != 0]
    if not needed:
        return ()
    return (
        ("Take", _items(needed, [line.needed for line in needed])),
        ("Have on site", _items(needed, [min(line.on_site, line.needed or line.on_site) for line in needed])),
        (
            "Have on apparatus",
            _items(needed, [min(line.on_apparatus, line.needed or line.on_apparatus) for line in needed]),
        ),
        ("Missing", _items(needed, [line.missing for line in needed])),
    )


def _items(lines: Sequence[KitLine], counts: Sequence[int | None]) -> str:
    said = [
        f"{_short(line.item)}{_count(line, count)}"
        for line, count in zip(lines, counts, strict=True)
        if count is None or count > 0
    ]
    return "; ".join(said) or NOTHING


def _count(line: KitLine, count: int | None) -> str:
    if count is None:
        return " (number not known)"
    return f" ({count} L)" if line.item.startswith("absorbent") else f" × {count}" if count > 1 else ""


def _short(item: str) -> str:
    return item.replace("absorbent [L]: ", "absorbent, ")


def borrowed(lines: Sequence[KitLine]) -> str:
    """Word what is missing on site and apparatus together; empty where nothing is."""
    short = [line for line in lines if line.missing]
    return _items(short, [line.missing for line in short]) if short else ""


def protection_text(ensemble: Ensemble) -> ProtectionText:
    """Word the protective ensemble of a storage zone."""
    return ProtectionText(
        level=ensemble.level,
        consists_of=ensemble.consists_of,
        driver=ensemble.driver,
        because=ensemble.because,
        caution=sentence(ensemble.caution),
        basis=basis(ensemble.cite),
    )


def absorbent_texts(advice: Sequence[AbsorbentAdvice]) -> Iterator[AbsorbentText]:
    """Say once what is advised alike for several products."""
    groups: dict[tuple[object, ...], list[AbsorbentAdvice]] = {}
    for each in advice:
        groups.setdefault((each.use, each.never, each.cite), []).append(each)
    for same in groups.values():
        first = same[0]
        yield AbsorbentText(listed([each.product for each in same]), first.use, first.never, basis(first.cite))


def duty_texts(lines: Sequence[DutyLine]) -> tuple[DutyText, ...]:
    """Word what each training level does, operations level first."""
    return tuple(
        DutyText(capital(str(who)), tuple(RuleText(line.text, basis(line.cite)) for line in lines if line.who is who))
        for who in (Who.OPERATIONS, Who.TECHNICIAN)
        if any(line.who is who for line in lines)
    )


def monitor_texts(lines: Sequence[MonitorLine]) -> tuple[MonitorText, ...]:
    """Word the instruments in the order in which they are read."""
    return tuple(
        MonitorText(
            monitor=capital(line.monitor),
            why=listed(line.why),
            how=line.how,
            go_on=line.go_on,
            leave=line.leave,
            limits="; ".join(line.limits),
            basis=basis(line.cite),
        )
        for line in lines
    )


def decontamination_texts(lines: Sequence[DecontaminationLine]) -> tuple[DecontaminationText, ...]:
    """Word how things are cleaned, where, and what becomes of the run-off."""
    return tuple(
        DecontaminationText(listed(line.products) or capital(line.what), line.text, line.never, basis(line.cite))
        for line in lines
    )


def notification_texts(lines: Sequence[NotificationLine]) -> tuple[NotificationText, ...]:
    """Word who must be told; a role that nobody is recorded in says so."""
    return tuple(
        NotificationText(
            who=capital(line.who),
            why=line.why,
            when=line.when,
            contacts="; ".join(line.contacts) or ("" if any(sign.isdigit() for sign in line.who) else NONE_RECORDED),
            basis=basis(line.cite),
        )
        for line in lines
    )
