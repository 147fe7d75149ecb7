"""A short way to write a finding down."""

from collections.abc import Iterable

from reports.assessment import Finding, Kind
from reports.floors.view import FloorView
from reports.response.advice import Cite


def finding(
    view: FloorView,
    cite: Cite,
    kind: Kind,
    sentence: str,
    reason: str,
    *,
    pallets: Iterable[str] = (),
    zones: Iterable[str] | None = None,
    drums: Iterable[str] = (),
    drains: Iterable[str] = (),
    inputs: Iterable[tuple[str, str]] = (),
    litres: float | None = None,
    minutes: float | None = None,
    metres: float | None = None,
    stop: bool = False,
) -> Finding:
    """Make a finding on one floor; its storage zones are those of its pallets unless they are named."""
    names = tuple(dict.fromkeys(pallets))
    return Finding(
        cite=cite,
        kind=kind,
        sentence=sentence,
        reason=reason,
        inputs=tuple(inputs),
        floor=view.floor.name,
        zones=view.zones_of(names) if zones is None else tuple(zones),
        pallets=names,
        drums=tuple(drums),
        drains=tuple(drains),
        litres=litres,
        minutes=minutes,
        metres=metres,
        stop=stop,
    )
