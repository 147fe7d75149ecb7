"""The bundled type: unaltered files, a licence beside them, and every sign that the paper prints."""

import hashlib
import re
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

import reports

FONTS = Path(reports.__file__).parent / "fonts"
FACES = sorted(FONTS.glob("*.ttf"))
CSS = (FONTS / "fonts.css").read_text(encoding="utf-8")
# Signs in units, tables and sentences of the pre-plan, plus Latin letters of people's and places' names.
SIGNS = "≥≤→←↑↓✓✗±×÷²³·°µ–—−…•‘’“”≈≠∞½£€§ÅÄÖØåäöøéèçñßčłőşž₂₃₄\u00a0\u2009\u202f\u2011"


def test_every_file_is_the_one_that_was_bundled() -> None:
    lines = (FONTS / "SHA256SUMS").read_text(encoding="utf-8").splitlines()
    recorded = {name: digest for digest, name in (line.split() for line in lines)}
    found = {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in [*FACES, FONTS / "LICENCE-DejaVu.txt"]
    }
    assert len(found) == 4
    assert found == recorded


@pytest.mark.parametrize("face", FACES, ids=lambda face: face.stem)
def test_face_has_every_sign(face: Path) -> None:
    with TTFont(face) as font:
        covered = font.getBestCmap()
    assert [sign for sign in SIGNS if ord(sign) not in covered] == []


def test_stylesheet_declares_regular_bold_and_italic_of_one_family() -> None:
    declared = re.findall(
        r'@font-face \{\s*font-family: "Drumwalk Sans";\s*src: url\("(.+?)"\) format\("truetype"\);'
        r"\s*font-weight: (\d+);\s*font-style: (\w+);\s*\}",
        CSS,
    )
    assert sorted(faces[1:] for faces in declared) == [("400", "italic"), ("400", "normal"), ("700", "normal")]
    assert {FONTS / name for name, _, _ in declared} == set(FACES)
    assert CSS.count("@font-face") == len(declared)


def test_fonts_stay_small_enough_for_a_tablet() -> None:
    assert sum(face.stat().st_size for face in FACES) < 2_500_000
