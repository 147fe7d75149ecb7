"""One entry at a time: found, paged, added, changed under its revision, removed with what belongs to it."""

from typing import Any
from uuid import UUID, uuid4

import pytest
import sqlalchemy as sa
from sqlmodel import Session

from survey.bundle import dump, parse
from survey.changes import Origin
from survey.faults import SurveyRefused
from survey.nouns import BY_PLURAL
from survey.repository import (
    IdTaken,
    NoSuchEntry,
    SequenceTaken,
    StaleRevision,
    Stored,
    add,
    change,
    export_survey,
    find,
    import_survey,
    page,
    remove,
)
from survey.repository.history import changes_after
from survey.tables.change import Change
from survey.tables.entry import Entry
from survey.tables.stock import DrumFields, PalletFields
from tests.builders import SurveyBuilder
from tests.survey.test_bundle import small_survey

TABLET = Origin(device="tablet 3", by="R. Example")
FLOORS, PALLETS, READINGS, DRUMS, PIPES, SUMPS, PHOTOS = (
    BY_PLURAL[plural] for plural in ("floors", "pallets", "readings", "drums", "pipes", "sumps", "photos")
)


@pytest.fixture
def site(session: Session) -> Any:
    """Put the small survey into the record and give it."""
    survey = small_survey()
    import_survey(session, survey, by="test")
    return survey


def changes(session: Session, after: int = 0) -> list[Change]:
    """Give all that was logged after a number."""
    return changes_after(session, after=after, limit=1000)


def logged_since(session: Session, before: int) -> list[tuple[str, str, int]]:
    """Give noun, kind and base revision of what was logged after the first `before` changes."""
    return [(change.noun, change.kind.value, change.base_revision) for change in changes(session)[before:]]


def with_fields(stored: Stored, **fields: object) -> Entry:
    """Give an entry with other values, validated."""
    return stored.noun.fields.model_validate(stored.fields.model_dump() | fields)


def test_find_gives_typed_values(session: Session, site: Any) -> None:
    found = find(session, DRUMS, site.drums[0].id)
    assert found == Stored(DRUMS, site.drums[0], 1)
    assert isinstance(found.fields, DrumFields)
    assert found.fields.recorded_at.utcoffset() is not None


def test_find_what_is_not_there(session: Session, site: Any) -> None:
    with pytest.raises(NoSuchEntry, match="drums hold no entry"):
        find(session, DRUMS, site.site.id)


def test_pages_give_every_entry_once_in_order(session: Session) -> None:
    build = SurveyBuilder()
    build.floor()
    for number in range(7):
        build.pallet(f"P{number}", at=(number, 1), read=False)
    build.floor("Upper floor")
    build.pallet("U1", at=(1, 1), read=False)
    survey = build.survey()
    import_survey(session, survey, by="test")
    lower = next(floor for floor in survey.floors if floor.name == "Ground floor")
    names: list[str] = []
    after: UUID | None = None
    sizes = []
    while True:
        got = page(session, PALLETS, parent_id=lower.id, after=after, limit=3)
        names += [stored.fields.name for stored in got.items if isinstance(stored.fields, PalletFields)]
        sizes.append(len(got.items))
        after = got.next_after
        if after is None:
            break
    assert sizes == [3, 3, 1]
    assert sorted(names) == [f"P{number}" for number in range(7)]
    assert len(page(session, PALLETS, parent_id=None, after=None, limit=8).items) == 8
    assert page(session, PALLETS, parent_id=None, after=None, limit=8).next_after is None
    assert page(session, PALLETS, parent_id=uuid4(), after=None, limit=8).items == ()


def test_add_stores_and_logs_the_whole_entry(session: Session, site: Any) -> None:
    before = len(changes(session))
    new = with_fields(find(session, DRUMS, site.drums[0].id), id=uuid4(), name="P1-2")
    assert add(session, DRUMS, new, TABLET) == Stored(DRUMS, new, 1)
    assert find(session, DRUMS, new.id) == Stored(DRUMS, new, 1)
    logged = changes(session)[before:]
    assert [(entry.noun, entry.entry_id, entry.site_id) for entry in logged] == [("drums", new.id, site.site.id)]
    assert (logged[0].kind, logged[0].base_revision, logged[0].before) == ("added", 0, None)
    assert logged[0].after == new.model_dump(mode="json")
    assert (logged[0].device, logged[0].device_seq, logged[0].by) == ("tablet 3", 1, "R. Example")
    assert logged[0].received_at is not None
    assert logged[0].received_at.utcoffset() is not None


def test_add_with_an_id_in_use_names_its_holder(session: Session, site: Any) -> None:
    drum = find(session, DRUMS, site.drums[0].id)
    for taken in (site.drums[0].id, site.floors[0].id):
        with pytest.raises(IdTaken) as refused:
            add(session, DRUMS, with_fields(drum, id=taken), TABLET)
        assert refused.value.standing.fields.id == taken
    assert {entry.device for entry in changes(session)} == {"survey file"}


@pytest.mark.parametrize("named", ["nothing", "another noun", "another site"])
def test_reference_must_lead_to_an_entry_of_the_site(session: Session, site: Any, named: str) -> None:
    other = SurveyBuilder("Other store")
    other.floor()
    other.pallet("X1", at=(1, 1))
    elsewhere = other.survey()
    import_survey(session, elsewhere, by="test")
    target = {"nothing": uuid4(), "another noun": site.bunds[0].id, "another site": elsewhere.pallets[0].id}[named]
    before = len(changes(session))
    pallet = find(session, PALLETS, site.pallets[0].id)
    with pytest.raises(SurveyRefused) as refused:
        change(session, PALLETS, pallet.fields.id, with_fields(pallet, stands_on_id=target), 1, TABLET)
    assert [fault.path for fault in refused.value.faults] == ["stands_on_id"]
    with pytest.raises(SurveyRefused) as refused:
        add(session, PALLETS, with_fields(pallet, id=uuid4(), stands_on_id=target), TABLET)
    assert [fault.path for fault in refused.value.faults] == ["stands_on_id"]
    assert logged_since(session, before) == []
    assert find(session, PALLETS, pallet.fields.id) == pallet


def test_entry_cannot_move_to_another_site(session: Session, site: Any) -> None:
    other = SurveyBuilder("Other store")
    other.floor()
    elsewhere = other.survey()
    import_survey(session, elsewhere, by="test")
    pallet = find(session, PALLETS, site.pallets[0].id)
    moved = with_fields(pallet, floor_id=elsewhere.floors[0].id)
    with pytest.raises(SurveyRefused, match="floor_id"):
        change(session, PALLETS, pallet.fields.id, moved, 1, TABLET)


def test_chain_cannot_be_closed_into_a_circle(session: Session, site: Any) -> None:
    upper = next(pallet for pallet in site.pallets if pallet.stands_on_id is not None)
    lower = find(session, PALLETS, upper.stands_on_id)
    for under in (upper.id, lower.fields.id):
        with pytest.raises(SurveyRefused, match="a chain that ends"):
            change(session, PALLETS, lower.fields.id, with_fields(lower, stands_on_id=under), 1, TABLET)


def test_change_writes_a_new_revision_and_logs_what_differs(session: Session, site: Any) -> None:
    before = len(changes(session))
    drum = find(session, DRUMS, site.drums[0].id)
    half = with_fields(drum, fill_pct=50, signs=["leaking"])
    assert change(session, DRUMS, drum.fields.id, half, 1, TABLET) == Stored(DRUMS, half, 2)
    assert find(session, DRUMS, drum.fields.id) == Stored(DRUMS, half, 2)
    logged = changes(session)[before:]
    assert [(entry.kind, entry.base_revision, entry.before, entry.after) for entry in logged] == [
        ("changed", 1, {"fill_pct": 90.0, "signs": []}, {"fill_pct": 50.0, "signs": ["leaking"]})
    ]


def test_change_to_the_same_values_is_none(session: Session, site: Any) -> None:
    before = len(changes(session))
    drum = find(session, DRUMS, site.drums[0].id)
    assert change(session, DRUMS, drum.fields.id, with_fields(drum), 1, TABLET) == drum
    assert logged_since(session, before) == []


def test_change_on_an_old_revision_is_refused_and_shows_what_stands(session: Session, site: Any) -> None:
    drum = find(session, DRUMS, site.drums[0].id)
    change(session, DRUMS, drum.fields.id, with_fields(drum, fill_pct=50), 1, TABLET)
    before = len(changes(session))
    for expected in (1, 3):
        with pytest.raises(StaleRevision) as refused:
            change(session, DRUMS, drum.fields.id, with_fields(drum, fill_pct=10), expected, TABLET)
        assert refused.value.standing == find(session, DRUMS, drum.fields.id)
        with pytest.raises(StaleRevision):
            remove(session, DRUMS, drum.fields.id, expected, TABLET)
    assert refused.value.standing.revision == 2
    assert logged_since(session, before) == []


def test_change_cannot_give_another_id(session: Session, site: Any) -> None:
    drum = find(session, DRUMS, site.drums[0].id)
    with pytest.raises(SurveyRefused, match="the id of this entry"):
        change(session, DRUMS, drum.fields.id, with_fields(drum, id=uuid4()), 1, TABLET)


def test_change_and_remove_what_is_not_there(session: Session, site: Any) -> None:
    drum = find(session, DRUMS, site.drums[0].id)
    with pytest.raises(NoSuchEntry):
        change(session, DRUMS, uuid4(), drum.fields, 1, TABLET)
    with pytest.raises(NoSuchEntry):
        remove(session, DRUMS, uuid4(), 1, TABLET)


def test_an_entry_added_again_goes_on_counting_its_revisions(session: Session, site: Any) -> None:
    drum = find(session, DRUMS, site.drums[0].id)
    changed = change(session, DRUMS, drum.fields.id, with_note(drum, "seen twice"), 1, TABLET)
    remove(session, DRUMS, drum.fields.id, changed.revision, TABLET)
    again = add(session, DRUMS, drum.fields, TABLET)
    assert again.revision == 3
    with pytest.raises(StaleRevision):
        change(session, DRUMS, drum.fields.id, with_note(drum, "from an old page"), 1, TABLET)


def with_note(stored: Stored, note: str) -> Entry:
    """Give an entry with another note."""
    return stored.fields.model_copy(update={"note": note})


def test_remove_takes_what_belongs_to_it_and_logs_each_entry_whole(session: Session, site: Any) -> None:
    before = len(changes(session))
    lower = next(pallet for pallet in site.pallets if pallet.name == "P1")
    assert remove(session, PALLETS, lower.id, 1, TABLET) == 3
    assert logged_since(session, before) == [
        ("pallets", "changed", 1),
        ("drums", "removed", 1),
        ("readings", "removed", 1),
        ("pallets", "removed", 1),
    ]
    gone = changes(session)[before + 1]
    assert gone.before == site.drums[0].model_dump(mode="json")
    assert gone.after is None
    assert len({entry.device_seq for entry in changes(session)[before:]}) == 1
    left = export_survey(session, site.site.id)
    assert [(pallet.name, pallet.stands_on_id) for pallet in left.pallets] == [("P2", None)]
    assert left.drums == []
    assert find(session, PALLETS, left.pallets[0].id).revision == 2
    assert parse(dump(left), max_bytes=10**6) == left


def test_remove_a_sump_takes_the_pipes_at_both_ends(session: Session, site: Any) -> None:
    middle = next(sump for sump in site.sumps if sump.name == "S2")
    assert remove(session, SUMPS, middle.id, 1, TABLET) == 3
    assert export_survey(session, site.site.id).pipes == []


def test_remove_empties_both_references_of_a_photo_that_stays(session: Session, site: Any) -> None:
    pallet = next(pallet for pallet in site.pallets if pallet.name == "P1")
    picture = PHOTOS.fields.model_validate(
        {
            "recorded_at": pallet.recorded_at,
            "recorded_by": "x",
            "source": "seen",
            "site_id": site.site.id,
            "sha256": "0" * 64,
            "media_type": "image/png",
            "pallet_id": pallet.id,
            "drum_id": site.drums[0].id,
        }
    )
    add(session, PHOTOS, picture, TABLET)
    remove(session, PALLETS, pallet.id, 1, TABLET)
    kept = find(session, PHOTOS, picture.id)
    assert (kept.revision, kept.fields.model_dump()["pallet_id"], kept.fields.model_dump()["drum_id"]) == (
        2,
        None,
        None,
    )
    emptied = [entry for entry in changes(session) if entry.noun == "photos"][-1]
    assert emptied.after == {"pallet_id": None, "drum_id": None}


def test_remove_a_site_leaves_nothing_but_the_log(session: Session, site: Any) -> None:
    count = remove(session, BY_PLURAL["sites"], site.site.id, 1, TABLET)
    removed = [entry for entry in changes(session) if entry.kind == "removed"]
    assert count == len(removed) == len(changes(session)) // 2
    for noun in BY_PLURAL.values():
        assert page(session, noun, parent_id=None, after=None, limit=1).items == ()


def test_device_sequence_is_given_where_absent_and_refused_where_used(session: Session, site: Any) -> None:
    drum = find(session, DRUMS, site.drums[0].id)
    counted = Origin(device="tablet 4", by="x", device_seq=7)
    change(session, DRUMS, drum.fields.id, with_fields(drum, fill_pct=50), 1, counted)
    with pytest.raises(SequenceTaken):
        change(session, DRUMS, drum.fields.id, with_fields(drum, fill_pct=40), 2, counted)
    change(session, DRUMS, drum.fields.id, with_fields(drum, fill_pct=30), 2, Origin(device="tablet 4", by="x"))
    assert [entry.device_seq for entry in changes(session) if entry.device == "tablet 4"] == [7, 8]


def test_change_and_its_log_stand_or_fall_together(engine: sa.Engine) -> None:
    survey = small_survey()
    drum_id = survey.drums[0].id
    with Session(engine) as session, session.begin():
        import_survey(session, survey, by="test")
    with Session(engine) as session:
        drum = find(session, DRUMS, drum_id)
        change(session, DRUMS, drum_id, with_fields(drum, fill_pct=50), 1, TABLET)
        assert changes(session)[-1].device == "tablet 3"
        session.rollback()
    with Session(engine) as session:
        assert find(session, DRUMS, drum_id) == Stored(DRUMS, survey.drums[0], 1)
        assert {entry.device for entry in changes(session)} == {"survey file"}


def test_log_can_be_asked_by_site_and_by_entry(session: Session, site: Any) -> None:
    drum = find(session, DRUMS, site.drums[0].id)
    change(session, DRUMS, drum.fields.id, with_fields(drum, fill_pct=50), 1, TABLET)
    of_drum = changes_after(session, after=0, limit=10, entry_id=drum.fields.id)
    assert [entry.kind for entry in of_drum] == ["added", "changed"]
    newest = of_drum[0].number or 0
    assert [entry.kind for entry in changes_after(session, after=newest, limit=10, entry_id=drum.fields.id)] == [
        "changed"
    ]
    assert changes_after(session, after=0, limit=10, site_id=uuid4()) == []
    assert len(changes_after(session, after=0, limit=2, site_id=site.site.id)) == 2
