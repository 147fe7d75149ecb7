"""Names as people type them: spelling folded, spelled by ear, and how near two names are."""

import re
import unicodedata
from functools import lru_cache

NEAR_ENOUGH = 0.64
"""Below this share of letters left alone two names count as different; our own choice, tried on the catalogue."""

SPELLED = 0.88
BY_EAR = 0.86
"""What a name is worth at most that is only nearly the same: less than one whose words all begin as was typed."""

HEARD_AT_LEAST = 3
"""Shorter than so many letters, once written by ear, nothing is left to go by."""

SPELLINGS = (
    ("sulph", "sulf"),
    ("aluminium", "aluminum"),
    ("stabilis", "stabiliz"),
    ("kerosine", "kerosene"),
    ("caesium", "cesium"),
)
"""Spellings that count as the same: the first is written as the second before names are compared."""

_SOUNDS = (
    (re.compile(r"phth|th"), "t"),
    (re.compile(r"ph"), "f"),
    (re.compile(r"cks?|ch|c(?![eiy])|qu?"), "k"),
    (re.compile(r"sc(?=[eiy])|c|z"), "s"),
    (re.compile(r"x"), "ks"),
    (re.compile(r"ae|oe|ea|ee|ei|ie"), "e"),
    (re.compile(r"y"), "i"),
    (re.compile(r"(?<=[a-z])h"), ""),
    (re.compile(r"(?<=[a-z]{2})e\b"), ""),
    (re.compile(r"([a-z])\1+"), r"\1"),
)


def folded(name: str) -> str:
    """Lower case, one spelling for British and American, no accents and no marks between words."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    for british, american in SPELLINGS:
        plain = plain.replace(british, american)
    return " ".join(re.findall(r"[a-z0-9]+", plain))


def by_ear(name: str) -> str:
    """Write a folded name roughly as it sounds, so that names spelled by ear come out alike.

    Endings are left alone: sulphate, sulphite and sulphide are different substances.
    """
    for pattern, sound in _SOUNDS:
        name = pattern.sub(sound, name)
    return name


class Name:
    """A name on record, folded and by ear, ready to be compared with what is typed."""

    __slots__ = ("ear", "ear_words", "folded", "text", "words")

    def __init__(self, text: str) -> None:
        self.text = text
        self.folded = folded(text)
        self.words = self.folded.split()
        self.ear = by_ear(self.folded)
        self.ear_words = self.ear.split()


class Typed:
    """What somebody typed, ready to be held against many names."""

    def __init__(self, text: str) -> None:
        self.folded = folded(text)
        self.words = self.folded.split()
        ear = by_ear(self.folded)
        self._whole, self._parts = Letters(self.folded), [Letters(word) for word in self.words]
        self._ear, self._ear_parts = Letters(ear), [Letters(word) for word in ear.split()]

    def closeness(self, name: Name) -> float:
        """Return how near a name is: 1 is the same, 0 is too far to show."""
        if name.folded == self.folded:
            return 1.0
        if name.folded.startswith(self.folded):
            return 0.95
        if all(any(word.startswith(part) for word in name.words) for part in self.words):
            return 0.9
        spelled = max(self._whole.likeness(name.folded), _by_words(self._parts, name.words))
        heard = 0.0
        if self._ear.length >= HEARD_AT_LEAST:
            heard = max(self._ear.likeness(name.ear), _by_words(self._ear_parts, name.ear_words))
        return max(
            spelled * SPELLED if spelled >= NEAR_ENOUGH else 0.0,
            heard * BY_EAR if heard >= NEAR_ENOUGH else 0.0,
        )


def _by_words(parts: "list[Letters]", words: list[str]) -> float:
    """Return how near the typed words are, each to its nearest word of a name, whatever their order."""
    letters = sum(part.length for part in parts)
    if not letters or not words:
        return 0.0
    matched = sum(max(map(part.likeness, words)) * part.length for part in parts) / letters
    return matched * (0.97 if len(parts) < len(words) else 1.0)


class Letters:
    """A text against which many others are counted letter by letter, each of them once."""

    __slots__ = ("_kinds", "_known", "_masks", "length")

    def __init__(self, text: str) -> None:
        self.length = len(text)
        self._kinds = _kinds(text)
        self._known: dict[str, float] = {}
        self._masks: dict[str, int] = {}
        for place, letter in enumerate(text):
            self._masks[letter] = self._masks.get(letter, 0) | 1 << place

    def likeness(self, other: str) -> float:
        """Return the share of letters left alone, by the fewest letters left out, put in, changed or swapped."""
        known = self._known.get(other)
        if known is None:
            known = self._known[other] = self._counted(other)
        return known

    def _counted(self, other: str) -> float:
        """Count only where two bounds allow it: each letter too many, and each that the other lacks, is an edit."""
        longer, shorter = max(self.length, len(other)), min(self.length, len(other))
        most = (1 - NEAR_ENOUGH) * longer
        if not shorter or longer - shorter > most:
            return 0.0
        kinds = _kinds(other)
        if (self._kinds & ~kinds).bit_count() > most or (kinds & ~self._kinds).bit_count() > most:
            return 0.0
        return 1 - self.edits(other) / longer

    def edits(self, other: str) -> int:
        """Count the fewest edits (restricted Damerau and Levenshtein distance), a whole row in one number.

        References
        ----------
        H. Hyyrö, Explaining and extending the bit-parallel approximate string matching algorithm of Myers (2001),
        recalled; a test holds it against the plain recurrence.
        """
        if not self.length:
            return len(other)
        full = (1 << self.length) - 1
        last = 1 << self.length >> 1
        more, less, same, before, count = full, 0, 0, 0, self.length
        for letter in other:
            here = self._masks.get(letter, 0)
            swapped = ((~same & here) << 1) & before
            same = ((((here & more) + more) ^ more) | here | less | swapped) & full
            up = less | (full & ~(same | more))
            down = same & more
            count += bool(up & last) - bool(down & last)
            up = (up << 1 | 1) & full
            more = ((down << 1) & full) | (full & ~(same | up))
            less = up & same
            before = here
        return count


@lru_cache(maxsize=20_000)
def _kinds(text: str) -> int:
    """Return which letters a text has, a bit each."""
    return sum(1 << ord(letter) for letter in set(text))
