"""`python3 -m tests`: every lint and every test, from a bare checkout on.

python3 -m tests                  everything, browser tests included
python3 -m tests quick            lints, and the tests that need neither a browser nor patience
python3 -m tests bench [SECTION]  figures of speed, as ratios
… -- ARGUMENTS                    hands the rest to pytest (or, after bench, names sections)
"""

import os
import re
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from app import bootstrap

BIN = Path(sys.executable).parent
STYLE = (
    ("format", (sys.executable, "-m", "ruff", "format", "--check", "--quiet", ".")),
    ("lint", (sys.executable, "-m", "ruff", "check", "--quiet", ".")),
    ("types", (sys.executable, "-m", "mypy")),
    ("imports", (str(BIN / "lint-imports"), "--no-logo", "--no-cache")),
)
CLOSING_LINE = re.compile(r"^=+ .*\b(passed|failed|error|errors|no tests ran|skipped|deselected)\b.* =+$")
MODES = ("all", "quick", "bench")


@dataclass(frozen=True)
class Outcome:
    """How one step ended."""

    step: str
    status: int
    seconds: float
    closing: str = ""


def pytest_command(mode: str, extra: Sequence[str]) -> tuple[str, ...]:
    """Put pytest's command line together; `extra` comes last, so that it wins."""
    command = [sys.executable, "-m", "pytest", "--durations=10", "--durations-min=5"]
    if mode == "quick":
        command += ["-m", "not slow and not e2e"]
    # Tests of one xdist_group share a server or a browser, so they stay in one process.
    processes = min(os.cpu_count() or 1, 4)
    if processes > 1:
        command += ["-n", str(processes), "--dist", "loadgroup"]
    return (*command, *extra)


def run_step(step: str, command: Sequence[str]) -> Outcome:
    """Run one step to its end, passing its output through and keeping pytest's closing line."""
    print(f"\n── {step}: {' '.join([Path(command[0]).name, *command[1:]])}", flush=True)
    start = time.monotonic()
    closing = ""
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace"
    ) as run:
        assert run.stdout is not None, "a pipe was asked for"
        for line in run.stdout:
            sys.stdout.write(line)
            sys.stdout.flush()
            if CLOSING_LINE.match(line.rstrip()):
                closing = line.rstrip()
    return Outcome(step, run.returncode, time.monotonic() - start, closing)


def summary(outcomes: Sequence[Outcome]) -> str:
    """Say how each step ended, and last, in pytest's own words, how the tests did."""
    lines = ["", "── summary"]
    for outcome in outcomes:
        verdict = "ok" if outcome.status == 0 else f"FAILED (exit status {outcome.status})"
        lines.append(f"{outcome.step:<8} {outcome.seconds:6.1f} s  {verdict}")
    lines += [outcome.closing for outcome in outcomes if outcome.closing]
    return "\n".join(lines)


def main(arguments: Sequence[str]) -> int:
    """Run the steps that were asked for, all of them whatever fails, and return 0 if none did."""
    ours, extra = list(arguments), []
    if "--" in ours:
        cut = ours.index("--")
        ours, extra = ours[:cut], ours[cut + 1 :]
    if ours in (["-h"], ["--help"]):
        print(__doc__)
        return 0
    mode = ours.pop(0) if ours else "all"
    if mode not in MODES or (ours and mode != "bench"):
        print(__doc__, file=sys.stderr)
        return 2
    bootstrap.ready(bootstrap.TEST)
    if mode == "bench":
        return subprocess.run([sys.executable, "-m", "tests.bench", *ours, *extra], check=False).returncode
    outcomes = [run_step(step, command) for step, command in STYLE]
    outcomes.append(run_step("tests", pytest_command(mode, extra)))
    print(summary(outcomes), flush=True)
    return int(any(outcome.status != 0 for outcome in outcomes))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
