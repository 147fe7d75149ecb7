"""Who changed what, from which base; how edits made apart come together. Pure: no database, no clock."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a change comes from.

    `device` names a tablet or another client, `device_seq` is that device's own running number of the change; None
    lets the record give the next one, for clients that keep no count.
    """

    device: str
    by: str
    device_seq: int | None = None
