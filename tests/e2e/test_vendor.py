"""The accessibility checker kept beside the tests is the one its makers published."""

import base64
import hashlib
from pathlib import Path

VENDOR = Path(__file__).parent / "vendor"
PUBLISHED = "KTSJmUUM3yhJqOcLeRL8LahahJ2jnA0NU5T1HUqe2Vw="
"""SHA-256 of axe.min.js 4.14.1, as the package's own sri-history.json gives it."""


def test_the_checker_is_the_published_one() -> None:
    digest = hashlib.sha256((VENDOR / "axe.min.js").read_bytes()).digest()
    assert base64.b64encode(digest).decode() == PUBLISHED


def test_its_licences_lie_beside_it() -> None:
    assert "Mozilla Public License" in (VENDOR / "LICENCE-axe-core.txt").read_text(encoding="utf-8")
    assert "MIT License" in (VENDOR / "LICENCE-axe-core-third-party.txt").read_text(encoding="utf-8")
