"""Whole sites: import and export are exact inverses, a second import changes nothing, a failed one leaves nothing."""

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from sqlmodel import Session

from survey.bundle import Survey, dump, parse
from survey.faults import SurveyRefused
from survey.nouns import BY_PLURAL, NOUNS
from survey.references import table_of
from survey.repository import (
    ImportOutcome,
    NoSuchEntry,
    export_survey,
    find,
    import_survey,
    list_sites,
)
from survey.repository.history import changes_after
from survey.repository.rows import insert
from tests.builders import SurveyBuilder
from tests.strategies import surveys
from tests.survey.test_bundle import MOST, small_survey

ENTRIES = 13
"""Of the small survey."""


def spoken(survey: Survey) -> dict[str, Any]:
    """Give a survey as plain JSON."""
    plain: dict[str, Any] = json.loads(dump(survey))
    return plain


def read_back(plain: dict[str, Any]) -> Survey:
    """Give plain JSON as a survey."""
    return parse(json.dumps(plain).encode(), max_bytes=MOST)


def everything(session: Session) -> dict[str, list[Any]]:
    """Give every row of every table, revisions and log included."""
    tables = [table_of(noun) for noun in NOUNS] + [
        sa.Table("change", sa.MetaData(), autoload_with=session.connection())
    ]
    return {
        table.name: [tuple(row) for row in session.execute(sa.select(table).order_by(table.columns[0]))]
        for table in tables
    }


@pytest.fixture
def one_session(engine: sa.Engine) -> Iterator[Session]:
    """Give one session for all examples of a property; each rolls back what the one before wrote."""
    with Session(engine) as session:
        yield session


@settings(
    max_examples=15,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.function_scoped_fixture],
)
@given(survey=surveys())
def test_export_gives_byte_for_byte_what_was_imported(one_session: Session, survey: Survey) -> None:
    one_session.rollback()
    outcome = import_survey(one_session, survey, by="test")
    assert dump(export_survey(one_session, survey.site.id)) == dump(survey)
    assert outcome.added == sum(1 for _ in changes_after(one_session, after=0, limit=10_000))
    assert import_survey(one_session, survey, by="test") == ImportOutcome(0, 0, 0, unchanged=outcome.added)


def test_second_import_leaves_every_row_as_it_was(session: Session) -> None:
    survey = small_survey()
    assert import_survey(session, survey, by="test") == ImportOutcome(ENTRIES, 0, 0, 0)
    before = everything(session)
    assert sum(len(rows) for rows in before.values()) == 2 * ENTRIES
    assert import_survey(session, survey, by="somebody else") == ImportOutcome(0, 0, 0, ENTRIES)
    assert everything(session) == before


def test_import_of_a_changed_file_touches_only_what_changed(session: Session) -> None:
    survey = small_survey()
    import_survey(session, survey, by="test")
    plain = spoken(survey)
    plain["drums"][0]["fill_pct"] = 20.0
    plain["bunds"] = []
    plain["floors"][0]["note"] = "swept"
    plain["drums"].append(plain["drums"][0] | {"id": "00000000-0000-4000-8000-000000000001", "name": "P1-2"})
    changed = read_back(plain)
    number = changes_after(session, after=0, limit=1000)[-1].number or 0
    assert import_survey(session, changed, by="test") == ImportOutcome(added=1, changed=2, removed=1, unchanged=10)
    assert dump(export_survey(session, survey.site.id)) == dump(changed)
    logged = changes_after(session, after=number, limit=1000)
    assert sorted((entry.noun, entry.kind, entry.base_revision) for entry in logged) == [
        ("bunds", "removed", 1),
        ("drums", "added", 0),
        ("drums", "changed", 1),
        ("floors", "changed", 1),
    ]
    assert {(entry.device, entry.device_seq, entry.by) for entry in logged} == {("survey file", 2, "test")}
    revisions = {noun.plural: [row.revision for row in session.execute(sa.select(table_of(noun)))] for noun in NOUNS}
    assert sorted(revisions["drums"]) == [1, 2]
    assert (revisions["floors"], revisions["pallets"], revisions["bunds"]) == ([2], [1, 1], [])


def test_import_of_the_first_file_again_undoes_the_second(session: Session) -> None:
    first = small_survey()
    build = SurveyBuilder()
    build.floor("Cellar")
    second = build.survey()
    assert first.site.id == second.site.id
    import_survey(session, first, by="test")
    import_survey(session, second, by="test")
    assert dump(export_survey(session, first.site.id)) == dump(second)
    import_survey(session, first, by="test")
    assert dump(export_survey(session, first.site.id)) == dump(first)


def test_import_follows_chains_in_whatever_order_they_stand(session: Session) -> None:
    build = SurveyBuilder()
    build.floor()
    ids = sorted(build.pallet(f"P{number}", at=(1, 1), read=False).id for number in range(4))
    plain = spoken(build.survey())
    for place, under in ((0, 2), (2, 3), (3, 1)):
        plain["pallets"][place]["stands_on_id"] = str(ids[under])
    chained = read_back(plain)
    import_survey(session, chained, by="test")
    assert dump(export_survey(session, chained.site.id)) == dump(chained)
    for pallet in plain["pallets"]:
        pallet["stands_on_id"] = None
    for place, under in ((1, 3), (3, 2), (2, 0)):
        plain["pallets"][place]["stands_on_id"] = str(ids[under])
    turned = read_back(plain)
    import_survey(session, turned, by="test")
    assert dump(export_survey(session, chained.site.id)) == dump(turned)


def test_entry_may_change_its_noun_and_keep_its_id(session: Session) -> None:
    survey = small_survey()
    import_survey(session, survey, by="test")
    plain = spoken(survey)
    bund = plain["bunds"].pop()
    common = {
        name: bund[name] for name in ("id", "recorded_at", "recorded_by", "source", "floor_id", "name", "outline")
    }
    plain["storage_zones"].append(common)
    changed = read_back(plain)
    assert import_survey(session, changed, by="test") == ImportOutcome(1, 0, 1, ENTRIES - 1)
    assert dump(export_survey(session, survey.site.id)) == dump(changed)


def test_id_of_another_site_is_refused_and_nothing_of_the_import_is_left(session: Session) -> None:
    survey = small_survey()
    import_survey(session, survey, by="test")
    before = everything(session)
    plain = spoken(survey)
    plain["site"]["id"] = plain["floors"][0]["site_id"] = "00000000-0000-4000-8000-000000000002"
    copied = read_back(plain)
    with pytest.raises(SurveyRefused) as refused:
        import_survey(session, copied, by="test")
    assert len(refused.value.faults) == ENTRIES - 1
    assert f"drums {survey.drums[0].id}" in {fault.path for fault in refused.value.faults}
    assert everything(session) == before


def test_failure_half_way_leaves_nothing_in_the_transaction(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    other = SurveyBuilder("Other store").survey()
    import_survey(session, other, by="test")
    before = everything(session)
    wrote = []

    def insert_until_drums(session: Session, noun: Any, rows: Any) -> None:
        if noun is BY_PLURAL["drums"]:
            raise sa.exc.OperationalError("insert", {}, Exception("disk full"))
        wrote.append(noun.plural)
        insert(session, noun, rows)

    monkeypatch.setattr("survey.repository.sites.insert", insert_until_drums)
    with pytest.raises(sa.exc.OperationalError, match="disk full"):
        import_survey(session, small_survey(), by="test")
    assert wrote[-1] == "readings"
    assert everything(session) == before


def test_survey_that_contradicts_itself_is_refused_before_anything_is_written(session: Session) -> None:
    survey = small_survey()
    survey.readings.clear()
    with pytest.raises(SurveyRefused, match="reading_id"):
        import_survey(session, survey, by="test")
    assert list_sites(session) == ()


def test_implausible_entries_are_stored_as_seen(session: Session) -> None:
    build = SurveyBuilder()
    build.floor()
    build.pallet("Outside", at=(900, -20))
    drum = build.drum("O-1", container_code="9Z9", fill_pct=120)
    import_survey(session, build.survey(), by="test")
    assert find(session, BY_PLURAL["drums"], drum.id).fields == drum


def test_sites_are_listed_with_counts_and_the_age_of_the_newest_entry(session: Session) -> None:
    latest = datetime(2026, 4, 1, 12, tzinfo=UTC)
    build = SurveyBuilder("Yard", recorded_at=datetime(2024, 1, 1, tzinfo=UTC))
    build.floor()
    build.pallet("P1", at=(1, 1))
    build.drum("P1-1", recorded_at=latest)
    build.drum("P1-2")
    import_survey(session, build.survey(), by="test")
    import_survey(session, SurveyBuilder("Empty").survey(), by="test")
    empty, yard = list_sites(session)
    assert (empty.name, yard.name) == ("Empty", "Yard")
    assert yard.last_entry_at == latest
    assert {plural: count for plural, count in yard.counts.items() if count} == {
        "floors": 1,
        "pallets": 1,
        "readings": 1,
        "drums": 2,
    }
    assert set(empty.counts.values()) == {0}
    assert set(empty.counts) == set(BY_PLURAL) - {"sites"}


def test_export_of_a_site_that_is_not_there(session: Session) -> None:
    with pytest.raises(NoSuchEntry, match="sites hold no entry"):
        export_survey(session, small_survey().site.id)


def test_export_takes_nothing_from_other_sites(session: Session) -> None:
    survey = small_survey()
    import_survey(session, survey, by="test")
    other = SurveyBuilder("Other store")
    other.floor()
    other.pallet("X1", at=(1, 1))
    other.drum("X1-1")
    import_survey(session, other.survey(), by="test")
    assert dump(export_survey(session, survey.site.id)) == dump(survey)
    assert dump(export_survey(session, other.site.id)) == dump(other.survey())
