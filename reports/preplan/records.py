"""Where it all comes from: kit, ages, sources, walks, the snapshot, and the standing cautions."""

from collections.abc import Iterator

from geometry.units import metres_and_feet, recorded_minutes
from reports.assessment import Assessment
from reports.facts import AccessFact, EntryAge, SiteFacts, WalkFact
from reports.maps.lettering import shortened
from reports.preplan.front import caller
from reports.preplan.plan import AgeRow, Edition, FlagText, Pairs, WalkRow
from reports.preplan.words import NOT_RECORDED, bare, capital, day, day_and_age, days_before
from reports.wording import counted, listed
from survey.vocabulary import ProtectionKind

SOFTWARE = "Drumwalk 0.1.0"
_SHORT_HASH = 12
_FOOTER_NAME_PT = 190.0
_FOOTER_SIZE_PT = 8.0

CAUTIONS = (
    "This plan is an aid. Local codes, the incident commander and licensed practice govern; where they differ from it, "
    "they are followed.",
    "Plugs, patches, covers and dams are temporary measures. They are watched until the product is removed.",
    "Methods are for people trained and equipped for them, with a backup crew, decontamination and a way out in place.",
    "Stock moves. Read the ages on page 1; treat whatever you find different from this plan as unknown.",
    "Unknown is not safe: an unlabelled drum, an unproven drain and an unseen pallet are taken at their worst.",
    "Published film depths differ by a factor of 14, so reaches are ranges: thin film is far and shallow, thick film "
    "near and deep. Falls of the floor, joints and rain can carry liquid farther.",
    "Times are quick answers from the start of a leak, as ranges: soonest from an open 2 in bung with the thinnest "
    "film, latest from a 10 mm hole with the thickest. Narrow streams, jets and falls nobody surveyed are sooner. "
    "People are counted as called at once: a leak that nobody noticed has run before.",
    "“Verify” stands beside values that were recalled or derived, not read in their source: check them first.",
    "Distances are taken from recorded positions, with the tolerance that stands beside them.",
)


def edition(assessment: Assessment) -> Edition:
    """Name the edition: site, date, age, snapshot."""
    as_of = assessment.as_of
    seen = assessment.last_walk
    return Edition(
        site=assessment.site,
        short_site=shortened(assessment.site, _FOOTER_NAME_PT, _FOOTER_SIZE_PT),
        plan_date=day(as_of),
        plan_date_iso=as_of.isoformat(),
        age=f"last walk {day_and_age(as_of, seen)}" if seen else "no walk recorded",
        short_age=f"last walk {days_before(as_of, seen)} that day" if seen else "no walk recorded",
        snapshot_short=assessment.snapshot_sha256[:_SHORT_HASH],
        snapshot_full=assessment.snapshot_sha256,
        software=SOFTWARE,
    )


def flag_texts(assessment: Assessment) -> tuple[FlagText, ...]:
    """Implausible entries, stored as seen."""
    return tuple(FlagText(flag.entry, flag.field, flag.found, flag.treated_as) for flag in assessment.flags)


def age_rows(facts: SiteFacts) -> tuple[AgeRow, ...]:
    """How old the entries of each kind are."""
    return tuple(_age_row(age, facts) for age in facts.ages)


def _age_row(age: EntryAge, facts: SiteFacts) -> AgeRow:
    return AgeRow(
        what=age.noun,
        count=str(age.count),
        oldest=day_and_age(facts.as_of, age.oldest),
        newest=day_and_age(facts.as_of, age.newest),
        sources=listed([source.value for source in age.sources]),
    )


def walk_rows(facts: SiteFacts) -> tuple[WalkRow, ...]:
    """The visits, newest first."""
    return tuple(_walk_row(walk, facts) for walk in sorted(facts.walks, key=lambda walk: walk.on, reverse=True))


def _walk_row(walk: WalkFact, facts: SiteFacts) -> WalkRow:
    lasted = "" if walk.minutes is None else f", {recorded_minutes(walk.minutes)}"
    return WalkRow(
        on=day_and_age(facts.as_of, walk.on),
        who=listed(walk.inspectors) or NOT_RECORDED,
        outcome=f"{walk.outcome}{lasted}",
        seen=". ".join(bare(text) for text in (walk.seen, walk.note) if text) or NOT_RECORDED,
    )


def site_facts(facts: SiteFacts) -> Pairs:
    """The building and its surroundings, as far as page 1 has no room for it."""
    return tuple(_site_facts(facts))


def _site_facts(facts: SiteFacts) -> Iterator[tuple[str, str]]:
    if facts.former_names:
        yield "Formerly", listed(facts.former_names)
    yield "Staffed", facts.hours_staffed or NOT_RECORDED
    yield "Construction", facts.construction or NOT_RECORDED
    yield "Roof", f"{bare(facts.roof) or NOT_RECORDED}; asbestos: {facts.asbestos}"
    yield "Power", facts.power.value
    yield "Eaves height", NOT_RECORDED if facts.eaves_height_m is None else metres_and_feet(facts.eaves_height_m)
    yield (
        "For an entry",
        f"back-up crew: {facts.backup_crew}; way out: {facts.way_out}; decontamination: {facts.decontamination}",
    )
    if facts.previous_record:
        yield "Earlier record", f"{bare(facts.previous_record)} ({day(facts.previous_record_on)})"
    for kind in ("gate", "second approach", "assembly point"):
        points = [_point(each) for each in facts.access if each.kind.value == kind]
        yield capital(kind), "; ".join(points) or "none recorded"
    for supply in sorted(facts.water_supplies, key=lambda each: (each.distance_m is None, each.distance_m)):
        far = NOT_RECORDED if supply.distance_m is None else metres_and_feet(supply.distance_m)
        yield "Water", f"{supply.kind} {supply.name}, {far}"
    for utility in facts.utilities:
        yield (
            capital(utility.kind),
            f"{bare(utility.shut_off)}; outside: {utility.outside}; operated by {utility.operated_by or NOT_RECORDED}",
        )
    for system in facts.protection:
        if system.kind is not ProtectionKind.FIRE_DEPARTMENT_CONNECTION:
            at = f" at {system.valve_where}" if system.valve_where else ""
            yield capital(system.kind), f"{bare(system.where) or NOT_RECORDED}; valve: {system.valve}{at}"
    for each in facts.impairments:
        yield "Out of order", f"{bare(each.what)}, since {day(each.since)}, until {day(each.until)}"


def _point(point: AccessFact) -> str:
    return f"{point.name}: {point.where}" if point.where else point.name


def contact_pairs(facts: SiteFacts) -> Pairs:
    """Every contact with when it answers."""
    return tuple((contact.availability.value, caller(contact)) for contact in facts.contacts)


def snapshot_facts(assessment: Assessment) -> Pairs:
    """What this paper was made from."""
    floors = "; ".join(f"{floor.name}: {floor.film_model}" for floor in assessment.floors)
    return (
        ("Survey snapshot (SHA-256)", assessment.snapshot_sha256),
        ("Made with", SOFTWARE),
        ("Plan date", day(assessment.as_of)),
        ("Newest entry", day_and_age(assessment.as_of, assessment.newest_entry)),
        ("Oldest entry", day_and_age(assessment.as_of, assessment.oldest_entry)),
        ("Film depth from", floors or NOT_RECORDED),
        ("Findings", counted(len(assessment.findings), "finding")),
    )
