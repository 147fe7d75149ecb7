"""What a section of figures is made of, and the list of all sections.

A section is a function in a file of this folder whose name ends in `_figures.py`, marked with `@section`; it yields
one `Figure` per line. What is measured stands beside something that does the same job another way, so that the
printed ratio means something on any machine.
"""

import importlib
import statistics
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

ROUNDS = 5


@dataclass(frozen=True, slots=True)
class Figure:
    """One measured thing and the one it is held against [s], or what `unit` names: memory, for instance."""

    what: str
    seconds: float
    against: str
    against_seconds: float
    unit: str = "s"

    @property
    def ratio(self) -> float:
        return self.seconds / self.against_seconds


@dataclass(frozen=True, slots=True)
class Section:
    """A named group of figures and the function that measures them."""

    name: str
    says: str
    measure: Callable[[], Iterable[Figure]]


def median_s(work: Callable[[], object], *, rounds: int = ROUNDS) -> float:
    """Time a piece of work several times and give the median [s]; the first run, which warms up, does not count."""
    work()
    taken = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def section(name: str, says: str) -> Callable[[Callable[[], Iterable[Figure]]], Callable[[], Iterable[Figure]]]:
    """Mark a function as a section."""

    def mark(measure: Callable[[], Iterable[Figure]]) -> Callable[[], Iterable[Figure]]:
        if name in _SECTIONS:
            raise ValueError(f"two sections are named {name}")
        _SECTIONS[name] = Section(name, says, measure)
        return measure

    return mark


def sections() -> dict[str, Section]:
    """Find every section, by its name."""
    for file in sorted(Path(__file__).parent.glob("*_figures.py")):
        importlib.import_module(f"tests.bench.{file.stem}")
    return dict(sorted(_SECTIONS.items()))


_SECTIONS: dict[str, Section] = {}
