"""How wide a label is, and how a long name is shortened, without a font library.

The widths are the advance widths of the bundled face, so that a label's box is the box the paper prints.
"""

import unicodedata

NAME_PT = 8.5
"""Type size of names on a map [pt]."""
SMALL_PT = 8.0
"""Smallest type size on any paper [pt]."""

_UNITS_PER_EM = 2048
_FIRST = 32
# Advance widths of U+0020 to U+007E in DejaVu Sans Condensed 2.37, regular and bold [font units].
_REGULAR = (
    585, 738, 847, 1544, 1172, 1751, 1437, 506, 719, 719, 921, 1544, 585, 665, 585, 621, 1172, 1172, 1172, 1172, 1172,
    1172, 1172, 1172, 1172, 1172, 621, 621, 1544, 1544, 1544, 978, 1843, 1260, 1264, 1287, 1419, 1164, 1060, 1428,
    1386, 543, 543, 1208, 1026, 1590, 1378, 1450, 1111, 1450, 1280, 1170, 1125, 1349, 1260, 1822, 1262, 1125, 1262,
    719, 621, 719, 1544, 921, 921, 1129, 1170, 1013, 1170, 1134, 648, 1170, 1168, 512, 512, 1067, 512, 1795, 1168,
    1127, 1170, 1170, 757, 960, 722, 1168, 1090, 1507, 1090, 1090, 967, 1172, 621, 1172, 1544,
)  # fmt: skip
_BOLD = (
    641, 840, 960, 1544, 1282, 1846, 1607, 564, 842, 842, 963, 1544, 700, 765, 700, 673, 1282, 1282, 1282, 1282, 1282,
    1282, 1282, 1282, 1282, 1282, 737, 737, 1544, 1544, 1544, 1069, 1843, 1426, 1404, 1352, 1530, 1259, 1259, 1512,
    1542, 685, 685, 1428, 1174, 1834, 1542, 1566, 1350, 1566, 1419, 1327, 1257, 1496, 1426, 2033, 1421, 1334, 1336,
    842, 673, 842, 1544, 921, 921, 1243, 1319, 1092, 1319, 1250, 801, 1319, 1312, 631, 631, 1225, 631, 1920, 1312,
    1266, 1319, 1319, 909, 1097, 881, 1312, 1201, 1702, 1188, 1201, 1072, 1312, 673, 1312, 1544,
)  # fmt: skip
# Ninety-five in a hundred of the face's letters from U+00A0 to U+05FF are no wider than this [font units].
_OTHER_REGULAR, _OTHER_BOLD = 1794, 1935
_ELLIPSIS = "…"


def text_width_pt(text: str, size_pt: float, *, bold: bool = False) -> float:
    """Width of one line of text [pt]; letters outside ASCII are taken as wide ones."""
    widths, other = (_BOLD, _OTHER_BOLD) if bold else (_REGULAR, _OTHER_REGULAR)
    units = 0
    for letter in text:
        place = ord(letter) - _FIRST
        if 0 <= place < len(widths):
            units += widths[place]
        elif not unicodedata.combining(letter):
            units += _UNITS_PER_EM if unicodedata.east_asian_width(letter) in "WF" else other
    return units * size_pt / _UNITS_PER_EM


def shortened(text: str, width_pt: float, size_pt: float, *, bold: bool = False) -> str:
    """Cut the middle out of a name that is too wide: names of one site often differ at the end only."""
    if text_width_pt(text, size_pt, bold=bold) <= width_pt:
        return text
    for kept in range(len(text) - 1, 0, -1):
        head = (kept + 1) // 2
        cut = text[:head].rstrip() + _ELLIPSIS + (text[len(text) - (kept - head) :].lstrip() if kept > head else "")
        if text_width_pt(cut, size_pt, bold=bold) <= width_pt:
            return cut
    return _ELLIPSIS


def broken(text: str, width_pt: float, size_pt: float, *, bold: bool = False) -> tuple[str, ...]:
    """Break a sentence into lines no wider than a width; a word that is wider alone is shortened."""
    lines: list[str] = []
    for word in text.split():
        fitted = shortened(word, width_pt, size_pt, bold=bold)
        longer = f"{lines[-1]} {fitted}" if lines else fitted
        if lines and text_width_pt(longer, size_pt, bold=bold) <= width_pt:
            lines[-1] = longer
        else:
            lines.append(fitted)
    return tuple(lines)
