"""Page 1: what a crew needs before it is out of the vehicle."""

from collections.abc import Iterator, Sequence

from geometry.units import l_min_and_gpm, metres_and_feet, recorded_minutes
from reports.assessment import Assessment, DrainAssessment, FloorAssessment, Verdict
from reports.facts import AccessFact, ContactFact, SiteFacts, WaterSupplyFact
from reports.maps import floor_map, grid_of
from reports.maps.grid import Grid
from reports.preplan.fitting import height_pt
from reports.preplan.plan import ActionText, Basis, DrainLine, Front, Pairs, StopText, ZoneLine
from reports.preplan.words import NONE_RECORDED, NOT_RECORDED, bare, basis, day, day_and_age, percent, sentence
from reports.wording import counted, listed
from survey.catalogue.product import Mark
from survey.vocabulary import AccessKind, Availability, ContactRole, ProtectionKind, YesNoUnknown

MAP_HEIGHTS_PT = (340.0, 310.0, 280.0, 255.0, 230.0, 205.0, 185.0, 160.0, 130.0, 105.0)
"""Heights at which the map of page 1 is drawn, largest first [pt]."""
_WORTH_PT = 4.0
_CALL_ORDER = tuple(ContactRole)
"""The order of the vocabulary: operator, key holder, who knows the stock, guard, tenants, then authorities."""
_BY_DAY = (Availability.DAY, Availability.DAY_AND_NIGHT, Availability.UNKNOWN)
_BY_NIGHT = (Availability.NIGHT, Availability.DAY_AND_NIGHT, Availability.UNKNOWN)


def front_page(assessment: Assessment, facts: SiteFacts, stops: tuple[StopText, ...]) -> Front:
    """Word page 1."""
    floor = front_floor(assessment)
    stand_off = assessment.stand_off
    return Front(
        address=facts.address,
        operator=_operator(facts),
        sides=tuple((letter, faces) for letter, faces in facts.side_labels),
        ages=_ages(assessment),
        shares=_shares(assessment),
        no_entry=assessment.no_entry,
        prior_plan_invalid=assessment.prior_plan_invalid,
        people=_people(facts),
        access=tuple(_access(facts)),
        stops=stops,
        stand_off="" if stand_off is None else f"{metres_and_feet(stand_off.metres, places=0)} {stand_off.reason}",
        stand_off_basis=None
        if stand_off is None
        else Basis("stand-off", stand_off.source, stand_off.mark != Mark.READ),
        resources=tuple(_resources(facts, assessment)),
        map_title="" if floor is None else floor.name,
        maps=() if floor is None else _maps(floor, assessment),
        other_floors=tuple(other.name for other in assessment.floors if other is not floor),
        drains=tuple(_drain_lines(assessment)),
        zones=tuple(_zone_lines(assessment)),
        actions=action_texts(assessment),
        leave_when=_leave_when(assessment),
        call_by_day=_callers(facts.contacts, _BY_DAY),
        call_by_night=_callers(facts.contacts, _BY_NIGHT),
        unknowns=tuple(sentence(unknown) for unknown in assessment.unknowns),
    )


def front_floor(assessment: Assessment) -> FloorAssessment | None:
    """The floor on page 1: the one with the worst storage zone, by the first finding that has a floor."""
    named = {floor.name: floor for floor in assessment.floors}
    for finding in assessment.findings:
        if finding.floor in named:
            return named[finding.floor]
    return assessment.floors[0] if assessment.floors else None


def _maps(floor: FloorAssessment, assessment: Assessment) -> tuple[str, ...]:
    """Draw the floor at each height; where a smaller drawing saves no room, for its legend, the larger one stays."""
    kept: list[str] = []
    for height in MAP_HEIGHTS_PT:
        drawing = floor_map(floor, assessment, height_pt=height)
        saves = not kept or height_pt(drawing) < height_pt(kept[-1]) - _WORTH_PT
        kept.append(drawing if saves else kept[-1])
    return tuple(kept)


def _operator(facts: SiteFacts) -> str:
    use = f", {bare(facts.present_use)}" if facts.present_use else ""
    since = f", tenant since {day(facts.tenancy_since)}" if facts.tenancy_since else ", tenancy date not recorded"
    return f"{facts.operator}{use}{since}"


def _ages(assessment: Assessment) -> Pairs:
    as_of = assessment.as_of
    return (
        ("Last walk", day_and_age(as_of, assessment.last_walk)),
        ("Newest entry", day_and_age(as_of, assessment.newest_entry)),
        ("Oldest entry", day_and_age(as_of, assessment.oldest_entry)),
    )


def _shares(assessment: Assessment) -> Pairs:
    known = assessment.coverage
    empty = f", {known.empty} of them empty" if known.empty else ""
    small = f" + {known.small_containers} small" if known.small_containers else ""
    unread = f" + {counted(known.unread_pallets, 'pallet')} not read, in no share" if known.unread_pallets else ""
    return (
        (str(known.total), f"drums{empty}{small}{unread}"),
        (percent(known.seen_share, known), f"seen: {known.seen}"),
        (percent(known.label_read_share, known), f"label read: {known.label_read}"),
        (percent(known.identified_share, known), f"identified: {known.identified}"),
    )


def _people(facts: SiteFacts) -> Pairs:
    shifts = tuple(
        (f"{shift.name} {shift.hours}".strip(), NOT_RECORDED if shift.people is None else str(shift.people))
        for shift in facts.shifts
    )
    return shifts or (("all shifts", NOT_RECORDED),)


def _access(facts: SiteFacts) -> Iterator[tuple[str, str]]:
    for kind, heading in ((AccessKind.ENTRANCE, "Entrance"), (AccessKind.KEY_BOX, "Key box")):
        points = [_access_point(point) for point in facts.access if point.kind is kind]
        shut = _blocked_entrances(facts) if kind is AccessKind.ENTRANCE else []
        yield heading, "; ".join([*shut, *points]) or NONE_RECORDED


def _blocked_entrances(facts: SiteFacts) -> list[str]:
    """Name the main entrances that do not open, ahead of everything else said of the way in."""
    doors = [door for floor in facts.floors for door in floor.doors]
    return [f"{door.name} BLOCKED {bare(door.blocked)}" for door in doors if door.main_entrance and door.blocked]


def _access_point(point: AccessFact) -> str:
    side = f", side {point.side}" if point.side else ""
    size = [
        f"{metres_and_feet(length)} {word}"
        for length, word in ((point.width_m, "wide"), (point.height_m, "high"))
        if length is not None
    ]
    where = f": {bare(point.where)}" if point.where else ""
    name = "" if point.name.lower() == point.kind.value else point.name
    return f"{name}{where}{side}".removeprefix(": ") + (f", {', '.join(size)}" if size else "")


def _resources(facts: SiteFacts, assessment: Assessment) -> Iterator[tuple[str, str]]:
    yield "Nearest water", _nearest_water(facts)
    connections = [
        bare(each.where) or NOT_RECORDED
        for each in facts.protection
        if each.kind is ProtectionKind.FIRE_DEPARTMENT_CONNECTION
    ]
    yield "Fire department connection", "; ".join(connections) or NONE_RECORDED
    yield "Shut-offs outside", _shut_offs(facts)
    yield (
        "First engine / technicians",
        f"{_minutes(facts.travel_first_engine_min)} / {_minutes(facts.travel_technicians_min)}",
    )
    current = [each for each in facts.impairments if each.until is None or each.until >= assessment.as_of]
    if current:
        yield "Out of order", "; ".join(f"{bare(each.what)}, until {day(each.until)}" for each in current)


def _nearest_water(facts: SiteFacts) -> str:
    if not facts.water_supplies:
        return NONE_RECORDED
    known = [supply for supply in facts.water_supplies if supply.distance_m is not None]
    if not known:
        return f"{listed([_supply(supply) for supply in facts.water_supplies])}, distance not recorded"
    nearest = min(known, key=lambda supply: supply.distance_m or 0.0)
    return _supply(nearest)


def _supply(supply: WaterSupplyFact) -> str:
    far = "" if supply.distance_m is None else f", {metres_and_feet(supply.distance_m)}"
    flow = "" if supply.flow_l_min is None else f", {l_min_and_gpm(supply.flow_l_min)}"
    return f"{supply.kind} {supply.name}{far}{flow}"


def _shut_offs(facts: SiteFacts) -> str:
    where = [(each.kind, bare(each.shut_off), each.outside) for each in facts.utilities]
    outside = [f"{kind}: {at}" for kind, at, known in where if known is YesNoUnknown.YES]
    inside = [kind.value for kind, _, known in where if known is YesNoUnknown.NO]
    unsure = [f"{kind} ({at})" for kind, at, known in where if known is YesNoUnknown.UNKNOWN]
    parts = ["; ".join(outside) or NONE_RECORDED]
    if inside:
        parts.append(f"Inside only: {listed(inside)}")
    if unsure:
        parts.append(f"Not known whether outside: {listed(unsure)}")
    return ". ".join(parts)


def _minutes(minutes: float | None) -> str:
    return NOT_RECORDED if minutes is None else recorded_minutes(minutes)


def drain_goes_to(drain: DrainAssessment) -> str:
    """Destination acted on, and where it comes out."""
    outfall = f", {bare(drain.outfall)}" if drain.outfall else ""
    return f"{drain.treated_as}{outfall}"


def drain_proof(drain: DrainAssessment) -> str:
    """What proves where a drain goes, or else who says what; empty where nobody says anything."""
    if drain.proven:
        return f"proven by {drain.proof}"
    says = [f"{drain.proof} says {drain.joins}"] if drain.proof != "none" else []
    says += [f"{claim.says} says {claim.joins}" for claim in drain.other_claims]
    return listed(says)


def _drain_lines(assessment: Assessment) -> Iterator[DrainLine]:
    for floor in assessment.floors:
        grid = grid_of(floor)
        for drain in floor.drains:
            yield _drain_line(drain, grid)


def _drain_line(drain: DrainAssessment, grid: Grid) -> DrainLine:
    place = "not found" if drain.shape is None else f"square {grid.reference(drain.shape.centroid)}"
    reached = list(dict.fromkeys(reach.pallet for reach in drain.reaches if reach.verdict is Verdict.REACHES))
    perhaps = [
        pallet
        for pallet in dict.fromkeys(reach.pallet for reach in drain.reaches if reach.verdict is Verdict.MAY_REACH)
        if pallet not in reached
    ]
    parts = []
    if reached:
        parts.append(f"one drum reaches it from {listed(reached)}")
    if perhaps:
        parts.append(f"may reach it from {listed(perhaps)}")
    if drain.through_sumps:
        parts.append(f"through sumps from storage zone {listed(drain.through_sumps)}")
    return DrainLine(
        name=drain.name,
        kind=f"{drain.kind}, {place}",
        goes_to=drain_goes_to(drain),
        proof=drain_proof(drain),
        proven=drain.proven,
        reached_by="; ".join(parts),
    )


def _zone_lines(assessment: Assessment) -> Iterator[ZoneLine]:
    zones = [zone for floor in assessment.floors for zone in floor.zones]
    for zone in sorted(zones, key=lambda zone: zone.rank):
        name = f"{zone.name} {zone.title}".strip()
        yield ZoneLine(zone.rank, name, zone.headline, f"storage-{zone.id}")


def action_texts(assessment: Assessment) -> tuple[ActionText, ...]:
    """First actions in their order."""
    acts = assessment.first_actions
    return tuple(
        ActionText(
            order=act.order,
            what=sentence(act.what),
            who=act.who.value,
            from_where=bare(act.from_where),
            leave_when=bare(act.leave_when),
            instead_of=bare(act.instead_of),
            same_approach=before is not None and before.from_where == act.from_where,
            basis=basis(act.cite),
        )
        for before, act in zip((None, *acts), acts, strict=False)
    )


def _leave_when(assessment: Assessment) -> str:
    leave = {bare(act.leave_when) for act in assessment.first_actions}
    return leave.pop() if len(leave) == 1 else ""


def _callers(contacts: Sequence[ContactFact], when: tuple[Availability, ...]) -> tuple[str, ...]:
    """Whoever knows the site first, then whoever has to be told."""
    answering = [contact for contact in contacts if contact.availability in when]
    ordered = sorted(answering, key=lambda each: _CALL_ORDER.index(each.role))
    return tuple(f"{each.phone} {each.name} ({each.role}{_unsure(each)})" for each in ordered)


def _unsure(contact: ContactFact) -> str:
    return ", hours not recorded" if contact.availability is Availability.UNKNOWN else ""


def caller(contact: ContactFact) -> str:
    """Who answers, as what, under which number."""
    role = f"{contact.role}, {contact.organisation}" if contact.organisation else contact.role.value
    zones = f"; storage zones {listed(contact.storage_zones)}" if contact.storage_zones else ""
    hours = "; hours not recorded" if contact.availability is Availability.UNKNOWN else ""
    return f"{contact.phone} {contact.name} ({role}{zones}{hours})"
