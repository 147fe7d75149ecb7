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


class Typed:
    """What somebody typed, ready to be held against many names."""

    def __init__(self, text: str) -> None:
        self.folded = folded(text)
        self._words = self.folded.split()
        self._matcher = SequenceMatcher(None, "", self.folded)

    def closeness(self, name: str) -> float:
        """Return how near a folded name is: 1 is the same, 0 is too far to show."""
        if name == self.folded:
            return 1.0
        if name.startswith(self.folded):
            return 0.95
        words = name.split()
        if all(any(word.startswith(part) for word in words) for part in self._words):
            return 0.9
        best = max(self._ratio(name), max(map(self._ratio, words), default=0.0) * 0.95)
        return best * 0.85 if best >= NEAR_ENOUGH else 0.0

    def _ratio(self, name: str) -> float:
        """Return the share of matching letters; 0 without counting where two cheap upper bounds already say so."""
        self._matcher.set_seq1(name)
        if self._matcher.real_quick_ratio() < NEAR_ENOUGH or self._matcher.quick_ratio() < NEAR_ENOUGH:
            return 0.0
        return self._matcher.ratio()
