"""Who changed what, from which base; how edits made apart come together. Pure: no database, no clock.

An edit carries the entry as its author saw it (its base). Where its author had seen every other change, it is a
correction and stands. Where not, fields that only one side touched are combined, and a field that both touched
differently is in dispute: both values are kept for the officer, and the one in the record stays until then. An edit
beats a deletion. What a clock said when is never asked: tablets' clocks are wrong, and the later is not the truer.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

Fields = Mapping[str, object]
"""The fields of an entry as plain JSON values."""

PROVENANCE = frozenset({"recorded_at", "recorded_by", "source"})
"""Fields that tell of the recording and not of the thing: they differ with every edit and are no dispute."""


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a change comes from.

    `device` names a tablet or another client, `device_seq` is that device's own running number of the change; None
    lets the record give the next one, for clients that keep no count.
    """

    device: str
    by: str
    device_seq: int | None = None


@dataclass(frozen=True, slots=True)
class Edit:
    """An entry as its author saw it and left it; None is an entry that is not there.

    `base_revision` is the newest revision of the record that the author had seen, 0 where there was none.
    """

    device: str
    device_seq: int
    base_revision: int
    base: Fields | None
    after: Fields | None


@dataclass(frozen=True, slots=True)
class Logged:
    """A change that is in the record already: whose it was and which revision it made."""

    device: str
    device_seq: int
    revision: int


class Outcome(StrEnum):
    """What becomes of an edit."""

    NEW = "new entry"
    CORRECTION = "correction"
    COMBINED = "combined with changes its author had not seen"
    DISPUTE = "dispute"
    AGREED = "says what the record says"
    EDIT_OVER_DELETION = "edit kept over a deletion"
    DELETION_OVERRULED = "deletion overruled by an edit its author had not seen"


@dataclass(frozen=True, slots=True)
class Dispute:
    """A field that two authors changed differently from one base."""

    field: str
    base: object
    standing: object
    incoming: object


@dataclass(frozen=True, slots=True)
class Merge:
    """What stands in the record after an edit, and what is left for the officer to settle."""

    outcome: Outcome
    fields: Fields | None
    disputes: tuple[Dispute, ...] = ()

    @property
    def flagged(self) -> bool:
        """Whether somebody has to look at it."""
        return self.outcome in (Outcome.DISPUTE, Outcome.EDIT_OVER_DELETION, Outcome.DELETION_OVERRULED)


def merge(edit: Edit, standing: Fields | None, log: Sequence[Logged]) -> Merge:
    """Bring an edit together with the entry as it stands.

    Parameters
    ----------
    edit
        The edit that has arrived.
    standing
        The entry in the record now; None where it is not there.
    log
        Every change to this entry that is in the record, in any order.

    Returns
    -------
    Merge
        What stands afterwards, and the fields in dispute.

    Notes
    -----
    An author has seen a change if the base revision includes it, or if it came from the same device before. Where
    something of the edit is taken, the entry's provenance is the edit's; the log keeps each author's own.
    """
    if _same(edit.after, standing):
        return Merge(Outcome.AGREED, standing)
    if standing is None and edit.base is not None:
        return Merge(Outcome.EDIT_OVER_DELETION, edit.after)
    had_seen_all = all(_seen(change, edit) for change in log)
    if standing is None:
        return Merge(Outcome.NEW if had_seen_all else Outcome.EDIT_OVER_DELETION, edit.after)
    if had_seen_all:
        return Merge(Outcome.CORRECTION, edit.after)
    if edit.after is None:
        return Merge(Outcome.DELETION_OVERRULED, standing)
    return _combine(edit.base or {}, standing, edit.after)


def _seen(change: Logged, edit: Edit) -> bool:
    own = change.device == edit.device and change.device_seq < edit.device_seq
    return own or change.revision <= edit.base_revision


def _combine(base: Fields, standing: Fields, incoming: Fields) -> Merge:
    disputes, taken = [], {}
    for name in sorted(_content(incoming)):
        value, now = incoming[name], standing.get(name)
        if value == now or (name in base and value == base[name]):
            continue
        if name in base and now == base[name]:
            taken[name] = value
        else:
            disputes.append(Dispute(name, base.get(name), now, value))
    if taken:
        taken |= {name: incoming[name] for name in PROVENANCE if name in incoming}
    outcome = Outcome.DISPUTE if disputes else Outcome.COMBINED
    return Merge(outcome, {**standing, **taken}, tuple(disputes))


def _same(one: Fields | None, other: Fields | None) -> bool:
    if one is None or other is None:
        return one is other
    return _content(one) == _content(other)


def _content(fields: Fields) -> dict[str, object]:
    return {name: value for name, value in fields.items() if name not in PROVENANCE}
