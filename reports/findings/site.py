"""Findings about the site as a whole: a record out of date, nobody at night, no water, what is out of order."""

from collections.abc import Iterator, Sequence
from datetime import date

from reports.assessment import Finding, Kind
from reports.facts import SiteFacts
from reports.response.advice import Cite, OverpackRow
from reports.wording import counted, listed, named, phrase
from survey.catalogue.product import Mark
from survey.vocabulary import ContactRole, KitKind, WalkOutcome, YesNoUnknown

PRIOR = Cite("prior-record", "common practice, no source; change of use in incident case studies", Mark.DERIVED)
NIGHT = Cite("nobody-at-night", "common practice, no source", Mark.DERIVED)
WATER = Cite("no-water-near", "common practice, no source", Mark.DERIVED)
EXPOSURE = Cite("building-exposure", "common practice, no source", Mark.DERIVED)
IMPAIRED = Cite("impairment", "common practice, no source", Mark.DERIVED)
REFUSED = Cite("access-refused", "common practice, no source", Mark.DERIVED)
SHORTAGE = Cite("overpack-shortage", "49 CFR 173.3(c): salvage drum compatible with what is in it", Mark.READ)
COVER = Cite("no-drain-cover", "29 CFR 1910.120(q)(6)(ii)", Mark.READ)

_ON_SITE = (
    ContactRole.OPERATOR,
    ContactRole.KEY_HOLDER,
    ContactRole.KNOWS_THE_STOCK,
    ContactRole.GUARD,
    ContactRole.TENANT,
)
FAR_WATER_M = 200.0
"""Beyond one engine's hose; a judgement, departments differ."""


def prior_record_invalid(facts: SiteFacts) -> str:
    """Say why an earlier record of the site must not be relied on; empty where nothing speaks against it."""
    if not facts.previous_record:
        return ""
    dated = f" of {_day(facts.previous_record_on)}" if facts.previous_record_on else ", undated"
    record = f"The earlier record{dated} says “{phrase(facts.previous_record)}”"
    if facts.tenancy_since is None:
        return f"{record}; since when the present tenant is there is not known. Do not rely on it."
    if facts.previous_record_on is None or facts.previous_record_on < facts.tenancy_since:
        return f"{record}; the tenant changed on {_day(facts.tenancy_since)}. Prior plan invalid: do not rely on it."
    return ""


def site_findings(facts: SiteFacts) -> Iterator[Finding]:
    """Give the findings that belong to no storage zone."""
    invalid = prior_record_invalid(facts)
    if invalid:
        yield _plain(PRIOR, invalid, "Use and stock may have changed without anybody telling the department.")
    if not any(each.role in _ON_SITE and each.answers_at_night for each in facts.contacts):
        yield _plain(
            NIGHT, "Nobody from the site is recorded as answering at night.", "Contacts are day-only or unknown."
        )
    yield from _water(facts)
    if facts.asbestos is YesNoUnknown.YES:
        yield _plain(
            EXPOSURE,
            f"Asbestos in the building ({phrase(facts.roof or facts.construction)}).",
            "Dust when it burns or breaks.",
        )
    if facts.power is YesNoUnknown.NO:
        yield _plain(EXPOSURE, "No power and no light inside.", "Bring light; nothing electrical on site works.")
    for impairment in facts.impairments:
        if impairment.until is None or impairment.until >= facts.as_of:
            until = f" until {_day(impairment.until)}" if impairment.until else ", no end date"
            yield _plain(IMPAIRED, f"Out of order{until}: {phrase(impairment.what)}.", "Recorded as impaired.")
    refused = [walk for walk in facts.walks if walk.outcome is WalkOutcome.ACCESS_REFUSED]
    if refused:
        times = counted(len(refused), "time")
        yield _plain(
            REFUSED, f"Access refused {times}, last on {_day(refused[-1].on)}.", "What was not seen is unknown."
        )
    drains = [drain.name for floor in facts.floors for drain in floor.drains]
    if drains and not any(kit.kind is KitKind.DRAIN_COVER and kit.quantity > 0 for kit in facts.kit):
        yield _plain(COVER, f"No drain cover on site or apparatus for {listed(drains)}.", "The first task has no tool.")


def shortage_findings(overpacks: Sequence[OverpackRow]) -> Iterator[Finding]:
    """Give one finding per kind of salvage drum of which there are too few."""
    for row in overpacks:
        if row.missing:
            vented = ", vented" if row.vented else ""
            held = row.on_site + row.on_apparatus
            yield _plain(
                SHORTAGE,
                f"Too few overpacks: {row.size_label} {row.material}{vented} for {named(row.products, 5)}: "
                f"{row.needed} needed, {held} held, {row.missing} missing.",
                "Needed is the worst single pallet: one accident at a time.",
            )


def _water(facts: SiteFacts) -> Iterator[Finding]:
    near = [each.distance_m for each in facts.water_supplies if each.distance_m is not None]
    if not facts.water_supplies:
        yield _plain(WATER, "No water supply recorded.", "Unknown counts as none.")
    elif not near:
        names = named([each.name for each in facts.water_supplies], 3)
        yield _plain(WATER, f"How far it is to water ({names}) is not recorded.", "Unknown counts as far.")
    elif min(near) > FAR_WATER_M:
        yield _plain(
            WATER,
            f"Nearest water {min(near):,.0f} m away: relay or tankers, so long containment.",
            "Weigh letting it burn against run-off; the incident commander decides.",
        )


def _plain(cite: Cite, sentence: str, reason: str) -> Finding:
    return Finding(cite, Kind.REST, sentence, reason, (), "", (), (), (), (), None, None, None, stop=False)


def _day(day: date | None) -> str:
    return "an unknown date" if day is None else f"{day.day} {day:%b %Y}"
