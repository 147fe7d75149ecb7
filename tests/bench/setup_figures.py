"""What set-up costs once everything stands."""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from app.bootstrap import ROOT
from tests.bench.figures import Figure, median_s, section


def _start(python: Path) -> None:
    subprocess.run([python, "-m", "app", "version"], cwd=ROOT, check=True, capture_output=True)


@section("set-up", "a start from the system's Python, which checks the set-up, against one inside the environment")
def second_start() -> Iterator[Figure]:
    """Measure the start that nearly every start is: nothing to install."""
    bare, inside = Path(sys.base_prefix) / "bin" / "python3", Path(sys.executable)
    yield Figure(
        "app version, set-up checked",
        median_s(lambda: _start(bare)),
        "app version, inside .venv",
        median_s(lambda: _start(inside)),
    )
