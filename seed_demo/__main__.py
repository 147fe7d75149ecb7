"""`python3 -m seed_demo` writes the demo survey files anew."""

import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from seed_demo import quillmere_shed_4, tessaly_road, vellinor_street
from survey.bundle import Survey, dump

SITES: Mapping[str, Callable[[], Survey]] = {
    "quillmere_shed_4": quillmere_shed_4.survey,
    "tessaly_road": tessaly_road.survey,
    "vellinor_street": vellinor_street.survey,
}


def main(folder: Path) -> None:
    """Write one survey file per site into `folder`."""
    for name, survey in SITES.items():
        file = folder / f"{name}.json"
        file.write_bytes(dump(survey()))
        sys.stdout.write(f"{file.name}\n")


if __name__ == "__main__":
    main(Path(__file__).parent)
