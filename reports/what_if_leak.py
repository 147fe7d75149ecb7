"""How the drum of a what-if question empties: the leak of the far end and of the near one, and what turning it does."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from geometry.leak import Leak, leak, sudden
from geometry.orifice import Hole, open_bung, round_hole, slot
from geometry.turning import Breach, Standing, Turn, turns
from reports.assessment.what_if import HoleKind, HolePlace, LeakGiven, WhatIf
from reports.facts import DrumFact
from reports.floors.leaks import drum_shape
from survey.vocabulary import Orientation

_STANDING: dict[Orientation, Standing] = {
    Orientation.UPRIGHT: "upright",
    Orientation.LYING: "lying",
    Orientation.INVERTED: "on its head",
}
"""An orientation that is not known is none of them: then the hole is taken at its lowest."""


@dataclass(frozen=True, slots=True)
class AskedLeak:
    """The leak that is asked about at both ends of the range, and what is said of it."""

    far: Leak
    near: Leak
    given: LeakGiven
    turning: str


def asked_leak(drum: DrumFact, asked: WhatIf) -> AskedLeak:
    """Work out the leak that is asked about.

    Parameters
    ----------
    drum : DrumFact
    asked : WhatIf
        A question about it.

    Returns
    -------
    AskedLeak
        A drum said to be closed leaks so at the near end; at the far one it takes in air all the same.

    Raises
    ------
    GeometryRefused
        If the drum holds no liquid, or the hole is larger than the drum or lies outside it.

    Notes
    -----
    A drum of which nobody knows how it stands has its hole lowest, with the head of an upright drum above it: as for
    its breaches on record, the most and the fastest that it can be.
    """
    orientation = drum.orientation if asked.orientation is None else asked.orientation
    standing = _STANDING.get(orientation)
    positions = _positions(drum, asked, standing)
    far, near = _leaks(drum, asked, positions[0])
    said = _said(standing, as_asked=asked.orientation is not None)
    return AskedLeak(far, near, _given(near, drum, asked, said), _turning(asked, positions, known=standing is not None))


def _said(standing: Standing | None, *, as_asked: bool) -> str:
    """Say how the drum is taken to stand, and on whose word."""
    if standing is not None:
        return f"{standing}, {'as asked' if as_asked else 'as recorded'}"
    nobody = "not known, as asked" if as_asked else "not recorded"
    return f"how the drum stands is {nobody}: taken with the hole lowest, where most runs out"


def _positions(drum: DrumFact, asked: WhatIf, standing: Standing | None) -> tuple[Turn, ...]:
    """Compare the drum as it is, or with its hole lowest, with the other positions it could be turned to."""
    shape = drum_shape(drum)
    along_m = {
        HolePlace.WALL: asked.along_mm / 1000,
        HolePlace.BOTTOM_HEAD: 0.0,
        HolePlace.TOP_HEAD: shape.length_m,
    }[asked.place]
    across_m = min(max(asked.size_mm or 0.0, asked.length_mm or 0.0) / 1000, shape.diameter_m)
    breach = Breach(along_m=along_m, off_axis_m=shape.diameter_m / 2, across_m=across_m)
    content_m3 = drum.fill_l / 1000
    if standing is not None:
        return turns(shape, content_m3, breach, standing=standing, clock_deg=asked.clock_deg)
    lowest, *others = turns(shape, content_m3, breach, standing="lying", clock_deg=180.0)
    return replace(lowest, posture="upright"), *others


def _leaks(drum: DrumFact, asked: WhatIf, position: Turn) -> tuple[Leak, Leak]:
    """Give the leak of the far end and that of the near one: a drum said to be closed may take in air all the same."""
    content_m3 = drum.fill_l / 1000
    if asked.hole is HoleKind.ALL_AT_ONCE:
        return (sudden(content_m3),) * 2
    shape, hole = drum_shape(drum), _hole(asked, position.hole_height_m)
    vented = leak(shape, content_m3, hole, posture=position.posture, vented=True)
    density = drum.product.density_kg_m3
    if not asked.closed or density is None:
        return vented, vented
    closed = leak(shape, content_m3, hole, posture=position.posture, vented=False, density_kg_m3=density.value)
    return vented, closed


def _hole(asked: WhatIf, height_m: float) -> Hole:
    size_m, length_m = (asked.size_mm or 0) / 1000, (asked.length_mm or 0) / 1000
    if asked.hole is HoleKind.SLOT:
        return slot(length_m, size_m, height_m)
    return open_bung(size_m, height_m) if asked.hole is HoleKind.OPEN_BUNG else round_hole(size_m, height_m)


def _turning(asked: WhatIf, positions: Sequence[Turn], *, known: bool) -> str:
    """Say which position would keep more in; nothing for a drum that loses all at once."""
    if asked.hole is HoleKind.ALL_AT_ONCE:
        return ""
    best = max(positions, key=lambda turn: turn.saved_m3)
    now = "the one it is in" if known else "one with the hole lowest"
    if best.saved_m3 * 1000 < 1:
        return f"No position keeps more in than {now}."
    leaves_l, saved_l = best.leaves_m3 * 1000, best.saved_m3 * 1000
    less = f"{saved_l:,.0f} L less" if known else f"{saved_l:,.0f} L less than with the hole lowest"
    return (
        f"{best.position.capitalize()}, {leaves_l:,.0f} L could still leave: {less}. "
        "For technicians, where no stop rule forbids touching it; the hole may pass below the liquid on the way."
    )


def _given(run_out: Leak, drum: DrumFact, asked: WhatIf, orientation: str) -> LeakGiven:
    first_m3_s = float(run_out.flow_at(0.0))
    model = run_out.model
    if asked.closed and asked.hole is not HoleKind.ALL_AT_ONCE:
        known = drum.product.density_kg_m3 is not None
        model += "; the far end takes it as vented" if known else "; asked about as closed, but no density is on record"
    return LeakGiven(
        model=model,
        first_l_min=first_m3_s * 60_000 if run_out.stop_s > 0 else None,
        leaves_l=run_out.leaves_m3 * 1000,
        stays_l=max(drum.fill_l - run_out.leaves_m3 * 1000, 0.0),
        orientation=orientation,
        half_min=run_out.half_s / 60,
        stop_min=run_out.stop_s / 60,
    )
