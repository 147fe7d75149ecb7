"""What a whole assessment costs at three sizes of store, and one moved pallet against the whole."""

import json
import subprocess
import sys
from collections.abc import Iterator

from app.bootstrap import ROOT
from tests.bench.figures import Figure, section
from tests.bench.stores import FOOTPRINTS, drums_of

SIZES = (42, 420, FOOTPRINTS)
"""Footprints: 504, 5,040 and 20,400 drums."""
AIM_S, AIM_MB, AIM_MOVED_S = 15.0, 1000.0, 0.1


def assessed(footprints: int, *words: str) -> dict[str, float]:
    """Assess a store in a fresh process and give what it took."""
    command = [sys.executable, "-m", "tests.bench.assessed_store", str(footprints), *words]
    found: dict[str, float] = json.loads(
        subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    )
    return found


@section(
    "assessment", "a whole assessment of 504, 5,040 and 20,400 drums in three levels, per drum and against the aims"
)
def assessment() -> Iterator[Figure]:
    """Measure growth per drum, then the largest store against what is asked for."""
    taken = {footprints: assessed(footprints) for footprints in SIZES}
    least = drums_of(SIZES[0])
    for footprints in SIZES[1:]:
        drums = drums_of(footprints)
        yield Figure(
            f"per drum of {drums:,} drums",
            taken[footprints]["whole_s"] / drums,
            f"per drum of {least:,} drums",
            taken[SIZES[0]]["whole_s"] / least,
        )
    most, drums = taken[SIZES[-1]], drums_of(SIZES[-1])
    pairs = f"{most['listed']:,.0f} pairs listed, {most['counted']:,.0f} more counted"
    yield Figure(f"{drums:,} drums, {pairs}", most["whole_s"], "what is asked for", AIM_S)
    yield Figure(
        f"{drums:,} drums: worst tilt of every pallet", most["tilt_s"], "the whole, of which it is", most["whole_s"]
    )
    yield Figure(
        f"{drums:,} drums: every whole pallet at once",
        most["pallets_s"],
        "the whole, of which it is",
        most["whole_s"],
    )
    yield Figure(f"{drums:,} drums: most memory held", most["peak_mb"], "what is asked for", AIM_MB, unit="MB")
    yield Figure("one moved pallet among them", most["moved_s"], "the whole", most["whole_s"])
    yield Figure("one moved pallet among them", most["moved_s"], "what is asked for", AIM_MOVED_S)
    doubtful = assessed(SIZES[-1], "doubtful")
    yield Figure(
        f"{drums:,} drums, some not identified, leaking or bulging",
        doubtful["whole_s"],
        "all labelled",
        most["whole_s"],
    )
