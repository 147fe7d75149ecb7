"""The version that the project states of itself."""

import tomllib
from functools import cache
from pathlib import Path

_PROJECT = Path(__file__).parent.parent / "pyproject.toml"


@cache
def version() -> str:
    """Read it from the project file, which stands beside the rooms; nothing is installed under this name."""
    with _PROJECT.open("rb") as file:
        return str(tomllib.load(file)["project"]["version"])
