"""What is not known, what is disputed, and what the site itself should put right."""

from collections.abc import Iterator, Sequence

from geometry.relief import line_told, tells_a_slope
from reports.assessment import Coverage, Dispute, Finding
from reports.facts import SiteFacts
from reports.findings.containment import NO_KERB
from reports.findings.containment import OUTLET as OPEN_OUTLET
from reports.findings.rest import ABSORBENT, DOOR, OUTLET
from reports.floors.pallets import reading_text
from reports.floors.view import FloorView
from reports.wording import counted, listed, named
from survey.vocabulary import Finish, Levelness, YesNoUnknown


def disputes(views: Sequence[FloorView]) -> tuple[Dispute, ...]:
    """List the pallets whose open readings differ, with the reading acted on."""
    return tuple(
        Dispute(
            pallet=pallet.name,
            readings=tuple(reading_text(reading) for reading in pallet.readings),
            acted_on=listed([reading.says for reading in pallet.readings if reading.governs]),
            ask="Which is right? Confirm by UN number on the drum and one more source.",
        )
        for view in views
        for pallet in view.floor.pallets
        if pallet.disputed
    )


def unknowns(facts: SiteFacts, known: Coverage, views: Sequence[FloorView]) -> tuple[str, ...]:
    """List what the plan does not know, most of all first."""
    floors = (line for view in views for line in _floor_unknown(view))
    return (*_stock_unknown(known), *floors, *_site_unknown(facts))


def _stock_unknown(known: Coverage) -> Iterator[str]:
    if known.hidden:
        yield f"{known.hidden} of {counted(known.total, 'drum')} not seen."
    unread = known.total - known.label_read
    if unread:
        yield f"Label not read on {unread} of {counted(known.total, 'drum')}."
    unsure = known.total - known.identified
    if unsure:
        yield f"{unsure} of {counted(known.total, 'drum')} not identified by two agreeing sources."


def _floor_unknown(view: FloorView) -> Iterator[str]:
    floor = view.floor
    if view.spills.refused:
        places = named([f"{where}: {why}" for where, why in sorted(view.spills.refused.items())], 2)
        yield f"Floor {floor.name}: no spill reach computed from {places}. Every drain counts as within reach."
    if view.spills.moved_m:
        places = named(sorted(view.spills.moved_m), 2)
        yield f"Floor {floor.name}: recorded on a wall, kerb or edge of the floor: {places}. The worse side counts."
    unproven = [drain.name for drain in floor.drains if not drain.proven]
    if unproven:
        verb = "goes" if len(unproven) == 1 else "go"
        yield f"Where {listed([f'drain {name}' for name in unproven])} {verb} is not proven."
    lost = [drain.name for drain in floor.drains if drain.shape is None]
    if lost:
        names = listed([f"Drain {name}" for name in lost])
        yield f"{names} drawn and not found: at least one outlet is unaccounted for."
    yield from _slope_unknown(view)
    if floor.levelness is not Levelness.SURVEYED and view.spills.relief is None:
        yield f"Floor {floor.name}: falls not surveyed ({floor.levelness}); which way a film runs cannot be told."
    if floor.finish is Finish.UNKNOWN:
        yield f"Floor {floor.name}: finish unknown, so the widest range of film depths is used."
    if floor.perimeter_tight is YesNoUnknown.UNKNOWN:
        yield f"Floor {floor.name}: whether the outer wall is tight at the floor is unknown."
    unread = [pallet.name for pallet in floor.pallets if any(drum.unread for drum in pallet.drums)]
    if unread:
        yield f"Floor {floor.name}: no reading stands of {named(unread)}: number and contents of drums there unknown."
    undated = [pallet.name for pallet in floor.pallets if any(not drum.fill_known for drum in pallet.counted)]
    if undated:
        yield f"Fill unknown and taken as full: {named(undated)}."
    unchecked = sum(not drum.signs_checked for pallet in floor.pallets for drum in pallet.counted)
    if unchecked:
        yield f"Floor {floor.name}: condition not checked on {counted(unchecked, 'drum')}."


def _slope_unknown(view: FloorView) -> Iterator[str]:
    """Say by what a floor is taken to fall, and which levels do not tell it."""
    floor = view.floor
    surveyed = tells_a_slope(floor.levels)
    levels = counted(len(floor.levels), "surveyed level")
    falls = [f"drain {drain.name}" for drain in floor.drains if drain.fall is not None]
    by = ([levels] if surveyed else []) + ([f"recorded falls to {listed(falls)}"] if falls else [])
    if by:
        yield f"Floor {floor.name}: taken to fall by {listed(by)}; between them its shape is not known."
    line = line_told(floor.levels)
    if line is not None:
        places = f"({line.high.x:g}, {line.high.y:g}) to ({line.low.x:g}, {line.low.y:g}) m"
        yield (
            f"Floor {floor.name}: {levels} on one line: it falls by {line.fall:.1%} on the way from {places}; across "
            "that line it is unknown, so that liquid may run to whatever lies no higher along it."
        )
    elif floor.levels and not surveyed:
        verb = "does" if len(floor.levels) == 1 else "do"
        yield f"Floor {floor.name}: {levels} {verb} not tell which way it falls."


def _site_unknown(facts: SiteFacts) -> Iterator[str]:
    missing = [
        word
        for word, value in (
            ("travel time of the first engine", facts.travel_first_engine_min),
            ("travel time of the technicians", facts.travel_technicians_min),
            ("tenancy", facts.tenancy_since),
            ("eaves height", facts.eaves_height_m),
        )
        if value is None
    ]
    if any(shift.people is None for shift in facts.shifts) or not facts.shifts:
        missing.append("people inside by shift")
    if missing:
        yield f"Not recorded: {listed(missing)}."


def operator_tasks(findings: Sequence[Finding], views: Sequence[FloorView]) -> tuple[str, ...]:
    """List in plain words what the site should put right."""
    tasks = [
        f"Prove by dye test where drain {drain.name} goes."
        for view in views
        for drain in view.floor.drains
        if not drain.proven
    ]
    chosen = {cite.rule for cite in (ABSORBENT, DOOR, OUTLET, OPEN_OUTLET, NO_KERB)}
    tasks += [f"Put right: {finding.sentence}" for finding in findings if finding.cite.rule in chosen]
    tasks += [
        f"Have {finding.pallets[0]} identified by a competent person before anything is moved."
        for finding in findings
        if finding.cite.rule == "unidentified-with-route" and finding.pallets
    ]
    if any(finding.cite.rule == "access-refused" for finding in findings):
        tasks.append(
            "With the authorities: a warrant or order for access, then a survey by a competent contractor; every drum "
            "is inspected before anything is moved."
        )
    return tuple(dict.fromkeys(tasks))
