"""What is stored comes back typed, and is spelled one way."""

import math
from datetime import UTC, datetime, timedelta, timezone
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
import sqlalchemy as sa
from pydantic import ValidationError
from sqlmodel import Session

from survey.bundle import Survey
from survey.nouns import BY_PLURAL
from survey.repository import find, import_survey
from survey.tables.entry import UtcDateTime
from survey.tables.floor import DestinationClaim, DrainFields
from survey.tables.stock import Breach, DrumFields, ReadingFields
from survey.vocabulary import BreachKind, ConditionSign, DrainDestination, DrainProof, IdentitySource, PositionSource
from tests.builders import DAY, SurveyBuilder


def stored(session: Session, survey: Survey, plural: str) -> Any:
    """Give the first entry of a noun after it went through the database."""
    import_survey(session, survey, by="test")
    return find(session, BY_PLURAL[plural], getattr(survey, plural)[0].id).fields


def test_lists_of_words_and_parts_come_back_typed(session: Session) -> None:
    build = SurveyBuilder()
    build.floor()
    build.pallet("P1", at=(1, 1))
    build.drum(
        "P1-1",
        signs=["leaking", "hot"],
        identity_sources=["label"],
        breaches=[{"kind": "pinhole", "size_mm": 2}],
        offset=(0.3, -0.3),
    )
    drum: DrumFields = stored(session, build.survey(), "drums")
    assert drum.signs == [ConditionSign.LEAKING, ConditionSign.HOT]
    assert {type(sign) for sign in drum.signs} == {ConditionSign}
    assert type(drum.identity_sources[0]) is IdentitySource
    assert drum.breaches == [Breach(kind=BreachKind.PINHOLE, size_mm=2)]
    assert drum.offset == (0.3, -0.3)


def test_absent_words_and_claims_come_back_typed(session: Session) -> None:
    build = SurveyBuilder()
    build.floor()
    build.drain("D1", other_claims=[{"joins": "storm", "says": "drawing"}], then="storm", position_source="drawn")
    drain: DrainFields = stored(session, build.survey(), "drains")
    assert drain.other_claims == [DestinationClaim(joins=DrainDestination.STORM, says=DrainProof.DRAWING)]
    assert (type(drain.then), type(drain.position_source)) == (DrainDestination, PositionSource)
    assert drain.line == []


@pytest.mark.parametrize("hours", [-11, 0, 5.75])
def test_times_come_back_aware_in_utc(session: Session, hours: float) -> None:
    moment = datetime(2026, 3, 2, 23, 59, 59, 123456, tzinfo=timezone(timedelta(hours=hours)))
    build = SurveyBuilder()
    build.floor()
    build.pallet("P1", at=(1, 1), read=False)
    build.reading(taken_at=moment)
    reading: ReadingFields = stored(session, build.survey(), "readings")
    assert reading.taken_at == moment
    assert reading.taken_at.tzinfo is UTC


def test_column_type_turns_times_to_utc_also_for_those_who_pass_the_entries_by(session: Session) -> None:
    noon_in_berlin = datetime(2026, 7, 1, 12, tzinfo=ZoneInfo("Europe/Berlin"))
    query = sa.select(sa.literal(noon_in_berlin, UtcDateTime()))
    got = session.execute(query).scalar_one()
    assert (got, got.tzinfo) == (datetime(2026, 7, 1, 10, tzinfo=UTC), UTC)


def test_times_without_a_zone_are_refused() -> None:
    with pytest.raises(ValidationError, match="timezone"):
        SurveyBuilder(recorded_at=DAY.replace(tzinfo=None))


def test_negative_zero_is_zero_wherever_it_stands() -> None:
    build = SurveyBuilder()
    floor = build.floor(north_deg=-0.0, outline=[(-0.0, 0), (1, -0.0), (1, 1)])
    signs = [math.copysign(1, number) for number in (floor.north_deg, *floor.outline[0], *floor.outline[1])]
    assert signs == [1] * 5


def test_nul_is_refused_in_every_text_also_inside_lists_and_parts() -> None:
    for fields in ({"note": "a\0"}, {"former_names": ["a\0"]}, {"shifts": [{"name": "a\0", "hours": "0-8"}]}):
        with pytest.raises(ValidationError, match="NUL"):
            SurveyBuilder(**fields)


def test_text_that_is_not_unicode_is_refused() -> None:
    with pytest.raises(ValidationError, match="unicode"):
        SurveyBuilder(note="\ud800")


def test_client_may_choose_the_id() -> None:
    own = uuid4()
    assert SurveyBuilder(id=own).survey().site.id == own
