"""Why a write to one entry was refused; whoever asked gets what stands in the record now."""

from uuid import UUID

from survey.nouns import Noun
from survey.repository.rows import Stored


class NoSuchEntry(Exception):
    """The record holds no entry of this noun with this id."""

    def __init__(self, noun: Noun, entry_id: UUID) -> None:
        """Name the entry that was asked for."""
        self.noun, self.entry_id = noun, entry_id
        super().__init__(f"{noun.plural} hold no entry {entry_id}")


class IdTaken(Exception):
    """The id of a new entry is in use; `standing` is its holder, `holder` the noun of that."""

    def __init__(self, entry_id: UUID, standing: Stored) -> None:
        """Keep the entry that has the id."""
        self.entry_id, self.standing = entry_id, standing
        super().__init__(f"{entry_id} is the id of one of {standing.noun.plural}")


class StaleRevision(Exception):
    """A change was made on a revision that is not the current one."""

    def __init__(self, standing: Stored, expected_revision: int) -> None:
        """Keep the entry as it stands."""
        self.standing, self.expected_revision = standing, expected_revision
        super().__init__(
            f"{standing.noun.plural} {standing.fields.id} is at revision {standing.revision}, not {expected_revision}"
        )


class SequenceTaken(Exception):
    """This device has already sent a change with this sequence number."""

    def __init__(self, device: str, device_seq: int) -> None:
        """Name the number that is in use."""
        self.device, self.device_seq = device, device_seq
        super().__init__(f"change {device_seq} of {device} is in the record already")
