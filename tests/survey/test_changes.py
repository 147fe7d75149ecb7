"""Edits made apart: same base = dispute, a base that had seen the other = correction, an edit beats a deletion."""

from hypothesis import given
from hypothesis import strategies as st

from survey.changes import PROVENANCE, Dispute, Edit, Fields, Logged, Merge, Outcome, merge

BASE: Fields = {"name": "B19", "product": None, "fill_pct": 100.0, "recorded_by": "first", "recorded_at": "2026-03-01"}


def edit(device: str, after: Fields | None, *, base: Fields | None = BASE, seq: int = 1, revision: int = 1) -> Edit:
    """Give an edit made on revision 1 of the entry."""
    return Edit(device=device, device_seq=seq, base_revision=revision, base=base, after=after)


def changed(base: Fields = BASE, **values: object) -> Fields:
    """Give an entry with other values."""
    return {**base, **values}


CREATED = Logged("desk", 1, revision=1)
BY_ONE = Logged("one", 1, revision=2)


def test_an_author_who_had_seen_everything_corrects() -> None:
    standing = changed(product="x", recorded_by="one")
    corrected = changed(product="y", recorded_by="two")
    result = merge(edit("two", corrected, base=standing, revision=2), standing, [CREATED, BY_ONE])
    assert result == Merge(Outcome.CORRECTION, corrected)
    assert not result.flagged


def test_the_same_edit_on_the_older_base_is_a_dispute_and_what_stands_stays() -> None:
    standing = changed(product="x", recorded_by="one")
    result = merge(edit("two", changed(product="y", recorded_by="two")), standing, [CREATED, BY_ONE])
    assert result == Merge(Outcome.DISPUTE, standing, (Dispute("product", None, "x", "y"),))
    assert result.flagged


def test_edits_of_different_fields_are_combined() -> None:
    standing = changed(product="x", recorded_by="one")
    result = merge(edit("two", changed(fill_pct=40.0, recorded_by="two")), standing, [CREATED, BY_ONE])
    assert result == Merge(Outcome.COMBINED, changed(product="x", fill_pct=40.0, recorded_by="two"))
    assert not result.flagged


def test_fields_beside_a_disputed_one_are_still_combined() -> None:
    standing = changed(product="x", recorded_by="one")
    result = merge(edit("two", changed(product="y", fill_pct=40.0, recorded_by="two")), standing, [CREATED, BY_ONE])
    assert result.outcome is Outcome.DISPUTE
    assert result.fields == changed(product="x", fill_pct=40.0, recorded_by="two")
    assert [dispute.field for dispute in result.disputes] == ["product"]


def test_two_authors_who_say_the_same_agree_whoever_and_whenever() -> None:
    standing = changed(product="x", recorded_by="one")
    result = merge(edit("two", changed(product="x", recorded_by="two")), standing, [CREATED, BY_ONE])
    assert result == Merge(Outcome.AGREED, standing)


def test_an_author_has_seen_what_came_from_the_same_device_before() -> None:
    # Offline, the second edit of a tablet still names the revision it had when it left.
    standing = changed(product="x")
    second = edit("one", changed(product="y"), base=standing, seq=2)
    assert merge(second, standing, [CREATED, BY_ONE]).outcome is Outcome.CORRECTION
    restarted = edit("one", changed(product="y"), base=BASE, seq=1)
    assert merge(restarted, standing, [CREATED, Logged("one", 2, revision=2)]).outcome is Outcome.DISPUTE


def test_clocks_do_not_order() -> None:
    early = changed(product="x", recorded_at="1999-01-01")
    late = changed(product="y", recorded_at="2099-01-01")
    for standing, arriving in ((early, late), (late, early)):
        result = merge(edit("two", arriving), standing, [CREATED, BY_ONE])
        assert (result.outcome, result.fields) == (Outcome.DISPUTE, standing)


def test_edit_beats_deletion_whichever_arrives_first() -> None:
    edited = changed(product="x")
    assert merge(edit("two", edited), None, [CREATED, BY_ONE]) == Merge(Outcome.EDIT_OVER_DELETION, edited)
    assert merge(edit("two", None), edited, [CREATED, BY_ONE]) == Merge(Outcome.DELETION_OVERRULED, edited)
    assert Merge(Outcome.EDIT_OVER_DELETION, edited).flagged
    assert Merge(Outcome.DELETION_OVERRULED, edited).flagged


def test_deletion_by_someone_who_had_seen_the_edit_stands() -> None:
    edited = changed(product="x")
    result = merge(edit("two", None, base=edited, revision=2), edited, [CREATED, BY_ONE])
    assert result == Merge(Outcome.CORRECTION, None)


def test_two_deletions_agree() -> None:
    assert merge(edit("two", None), None, [CREATED, BY_ONE]) == Merge(Outcome.AGREED, None)


def test_new_entry_and_the_same_id_made_twice() -> None:
    first = edit("one", BASE, base=None, revision=0)
    assert merge(first, None, []) == Merge(Outcome.NEW, BASE)
    other = edit("two", changed(product="y"), base=None, revision=0)
    result = merge(other, BASE, [CREATED])
    assert result == Merge(Outcome.DISPUTE, BASE, (Dispute("product", None, None, "y"),))


def test_entry_made_again_after_a_deletion_its_author_knew_of() -> None:
    again = edit("two", BASE, base=None, revision=2)
    assert merge(again, None, [CREATED, BY_ONE]) == Merge(Outcome.NEW, BASE)


values = st.sampled_from([None, "x", "y", 1.0])
entries = st.fixed_dictionaries({"name": values, "product": values, "fill_pct": values, "recorded_by": values})


def content(fields: Fields | None) -> object:
    """Give an entry without its provenance, which does follow the order of arrival."""
    return fields and {name: value for name, value in fields.items() if name not in PROVENANCE}


@given(base=entries, one=entries | st.none(), two=entries | st.none())
def test_order_of_arrival_decides_only_which_side_of_a_dispute_waits(
    base: Fields, one: Fields | None, two: Fields | None
) -> None:
    log = [CREATED, Logged("other", 1, revision=2)]
    one_first, two_first = merge(edit("two", two, base=base), one, log), merge(edit("one", one, base=base), two, log)
    sides = {(dispute.field, dispute.standing, dispute.incoming) for dispute in one_first.disputes}
    assert sides == {(dispute.field, dispute.incoming, dispute.standing) for dispute in two_first.disputes}
    disputed = {field for field, _, _ in sides}
    for name in ("name", "product", "fill_pct"):
        if name not in disputed:
            assert (one_first.fields or {}).get(name) == (two_first.fields or {}).get(name)
    assert (one_first.fields is None) == (two_first.fields is None)


@given(base=entries, one=entries, two=entries)
def test_nothing_anybody_entered_is_lost(base: Fields, one: Fields, two: Fields) -> None:
    result = merge(edit("two", two, base=base), one, [CREATED, BY_ONE])
    assert result.fields is not None
    kept = {(name, value) for name, value in result.fields.items()}
    kept |= {(dispute.field, side) for dispute in result.disputes for side in (dispute.standing, dispute.incoming)}
    for name in ("name", "product", "fill_pct"):
        for entered in (one, two):
            assert entered[name] == base[name] or (name, entered[name]) in kept
