"""Names as people type them: spelling folded, and how near two names are."""

import re
import unicodedata
from difflib import SequenceMatcher

NEAR_ENOUGH = 0.72
"""Below this share of matching letters two names count as different; our own choice, tried on the catalogue."""

_SPELLINGS = (
    ("sulph", "sulf"),
    ("aluminium", "aluminum"),
    ("stabilis", "stabiliz"),
    ("kerosine", "kerosene"),
    ("caesium", "cesium"),
)


def folded(name: str) -> str:
    """Lower case, one spelling for British and American, no accents and no marks between words."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    for british, american in _SPELLINGS:
        plain = plain.replace(british, american)
    return " ".join(re.findall(r"[a-z0-9]+", plain))


def closeness(wanted: str, name: str) -> float:
    """Return how near a folded name is to the folded words typed: 1 is the same, 0 is too far to show."""
    if wanted == name:
        return 1.0
    if name.startswith(wanted):
        return 0.95
    words, wanted_words = name.split(), wanted.split()
    if all(any(word.startswith(part) for word in words) for part in wanted_words):
        return 0.9
    ratio = SequenceMatcher(None, wanted, name).ratio()
    by_word = max((SequenceMatcher(None, wanted, word).ratio() for word in words), default=0.0)
    best = max(ratio, by_word * 0.95)
    return best * 0.85 if best >= NEAR_ENOUGH else 0.0
