"""`python3 -m tests bench [SECTION …]`: measures the sections that are named, or all, and prints ratios."""

import sys
from collections.abc import Iterable, Sequence

from tests.bench.figures import Figure, sections


def table(figures: Iterable[Figure]) -> str:
    """Set figures as lines of: ratio, what, its seconds, what it is held against, that one's seconds."""
    return "\n".join(
        f"  {figure.ratio:8.3g} ×  {figure.what} ({figure.seconds:.3g} {figure.unit})"
        f"  against {figure.against} ({figure.against_seconds:.3g} {figure.unit})"
        for figure in figures
    )


def main(names: Sequence[str]) -> int:
    """Measure and print; return 2 where a name is no section's."""
    known = sections()
    if strangers := [name for name in names if name not in known]:
        print(f"no such section: {', '.join(strangers)}; there are: {', '.join(known)}", file=sys.stderr)
        return 2
    for name in names or known:
        print(f"{name}: {known[name].says}", flush=True)
        print(table(known[name].measure()), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
