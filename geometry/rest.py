"""Runs of liquid over the cells of a falling floor: one until it rests or gets to an end, or many past many targets."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.ground import Ground
from geometry.running import Running, checked_run

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

_MOST_PONDS = 4096  # fillings of hollows that are told of; more are worked out all the same


@dataclass(frozen=True, slots=True)
class Rest:
    """What a run gives.

    Parameters
    ----------
    cells : (n,) array of int
        In the order in which they were reached.
    depths_m : (n,) array
        Depths at rest [m]; 0 where the last of the liquid only got to.
    need_m3 : (n,) array
        What lay on the floor before each was reached [m³].
    way : (k,) array of int
        Cells of the way down.
    ponds : (p, 5) array
        Fillings of hollows, as `kernels.descent.come_to_rest` writes them.
    swallowed_by : int
        The end that was reached, counted from 1; 0 is none.
    left_m3 : float
        What was left for it [m³].
    lost_m3 : float
        What left the map [m³].
    lost_at_m3 : float
        What lay on the floor before that [m³].
    """

    cells: Integers
    depths_m: Floats
    need_m3: Floats
    way: Integers
    ponds: Floats
    swallowed_by: int
    left_m3: float
    lost_m3: float
    lost_at_m3: float

    def needed_m3(self, among: Integers) -> float | None:
        """Find what lay on the floor before the first of some cells was reached.

        Parameters
        ----------
        among : (m,) array of int
            Those cells.

        Returns
        -------
        float or None
            Volume [m³]; None where none was reached.
        """
        hit = np.isin(self.cells, among)
        return float(self.need_m3[hit].min()) if hit.any() else None


@dataclass(frozen=True, slots=True)
class _Slate:
    """What runs write on. Each leaves it clean, so that a run costs what it wets and not what the floor is large."""

    surface_m: Floats
    depth_m: Floats
    need_m3: Floats
    stamp: Integers
    noted: Integers
    crests_m: Floats
    whence: Integers
    order: Integers
    counts: Integers
    swallow: Integers
    way: Integers
    ponds: Floats


@contextmanager
def _slate(ground: Ground) -> Iterator[_Slate]:
    """Borrow a slate: two runs at once have one each."""
    try:
        slate = ground.slates.pop()
    except IndexError:
        size = len(ground.bed_m)
        slate = _Slate(
            ground.bed_m.copy(), np.zeros(size), np.full(size, np.inf), np.zeros(size, dtype=np.int64),
            np.zeros(size, dtype=np.int64), np.empty(size), np.empty(size, dtype=np.int64),
            np.empty(size, dtype=np.int64), np.zeros(4, dtype=np.int64), np.zeros(size, dtype=np.int64),
            np.empty(size, dtype=np.int64), np.zeros((_MOST_PONDS, 5)),
        )  # fmt: skip
    # What breaks off in the middle is not given back.
    yield slate
    ground.slates.append(slate)


def run_to_rest(
    ground: Ground, source: int, volume_m3: float, film_m: float, running: Running, ends: Sequence[Integers] = ()
) -> Rest:
    """Let a volume run until all is at rest, or until it gets to the first cell of an end.

    Parameters
    ----------
    ground : Ground
        The cells.
    source : int
        Where it is let out.
    volume_m3 : float
        How much [m³].
    film_m : float
        Depth of the film that rests on open floor [m].
    running : Running
        What runs and how fast.
    ends : sequence of (n,) array of int
        Cells that take all that gets to them; of two that share a cell the first does.

    Returns
    -------
    Rest

    Raises
    ------
    GeometryRefused
        If a number is out of range.
    """
    checked_run(volume_m3, film_m, running)
    thickness_m = float(running.thickness_m(volume_m3))
    from geometry.kernels.descent import come_to_rest, dry_up  # noqa: PLC0415 - compiled code is loaded where computing begins

    with _slate(ground) as slate:
        for index in reversed(range(len(ends))):
            slate.swallow[ends[index]] = index + 1
        count, steps, filled, swallowed_by, left_m3, lost_m3, lost_at_m3 = come_to_rest(
            ground.bed_m, ground.on_map, ground.open_ways(film_m), ground.east_m, ground.north_m, ground.width,
            ground.grid.cell_m, ground.cell_m2, source, volume_m3, film_m, thickness_m, running.steady,
            slate.swallow if ends else slate.swallow[:0], slate.surface_m, slate.depth_m, slate.need_m3, slate.stamp,
            slate.noted, slate.crests_m, slate.whence, slate.order, slate.counts, slate.way, slate.ponds,
        )  # fmt: skip
        cells = slate.order[:count].copy()
        found = Rest(
            cells, slate.depth_m[cells], slate.need_m3[cells], slate.way[:steps].copy(), slate.ponds[:filled].copy(),
            swallowed_by, left_m3, lost_m3, lost_at_m3,
        )  # fmt: skip
        for cells in ends:
            slate.swallow[cells] = 0
        dry_up(ground.bed_m, slate.surface_m, slate.depth_m, slate.need_m3, slate.order, slate.counts)
    return found


def contacts_m3(
    ground: Ground,
    sources: Integers,
    volume_m3: Floats,
    film_m: float,
    running: Running,
    targets: Sequence[Integers],
) -> tuple[Floats, Floats]:
    """Let many volumes run, each alone, and find how much lies on the floor before each gets to targets.

    Parameters
    ----------
    ground : Ground
        The cells.
    sources : (k,) array of int
        Where they are let out.
    volume_m3 : (k,) array
        How much [m³].
    film_m, running : float, Running
        As in `run_to_rest`.
    targets : sequence of (n,) array of int
        Cells of m targets. They take nothing.

    Returns
    -------
    (k, m) array
        Volumes [m³]; infinite where it does not get there.
    (k,) array
        What lies on the floor before the first leaves the map [m³]; infinite where nothing does.

    Raises
    ------
    GeometryRefused
        If a number is out of range.
    """
    for volume in volume_m3.tolist():
        checked_run(volume, film_m, running)
    thickness_m = running.thickness_m(volume_m3)
    from geometry.kernels.descent import contacts  # noqa: PLC0415 - compiled code is loaded where computing begins

    begins = np.concatenate([[0], np.cumsum([len(cells) for cells in targets])]).astype(np.int64)
    cells = np.concatenate([*targets, np.zeros(0, dtype=np.int64)])
    needed_m3, lost_at_m3 = np.empty((len(sources), len(targets))), np.empty(len(sources))
    with _slate(ground) as slate:
        contacts(
            ground.bed_m, ground.on_map, ground.open_ways(film_m), ground.east_m, ground.north_m, ground.width,
            ground.grid.cell_m, ground.cell_m2, sources, volume_m3, film_m, thickness_m, running.steady,
            cells, begins, slate.surface_m, slate.depth_m, slate.need_m3, slate.stamp,
            slate.noted, slate.crests_m, slate.whence, slate.order, slate.counts,
            needed_m3, lost_at_m3,
        )  # fmt: skip
    return needed_m3, lost_at_m3
