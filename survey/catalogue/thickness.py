"""The thickness mark of a steel drum, and whether a drum with that mark may be filled again.

Nothing in the app asks for it yet: the mark is not a field of the record.
"""

import re
from dataclasses import dataclass
from enum import StrEnum

THROUGHOUT_MM = 0.92
"""Least actual thickness of body and heads alike. 49 CFR 173.28(b)(4) (as a reconditioner's page quotes it)."""

BODY_MM, HEADS_MM = 0.82, 1.11
"""Or of the body, where both heads are as thick as this. 49 CFR 173.28(b)(4) (as quoted there)."""

_THROUGHOUT_MARK_MM = 1.0
_BODY_MARK_MM, _HEADS_MARK_MM = 0.9, 1.2
"""Marks that hold those limits whatever the tolerance of the sheet. The same page."""

_MEASURED_BODY_MM, _MEASURED_HEADS_MM = 0.8, 1.1
"""Marks that may hold them: rounded to a tenth of a millimetre, 0.82 is marked 0.8 and 1.11 is marked 1.1."""

_THINNEST_MM, _THICKEST_MM = 0.3, 3.0
"""Outside of these a mark was misread: drum sheet runs from 0.8 to 1.5 mm. Judgement."""

_THICKNESS = re.compile(r"[0-9]+(?:[.,][0-9]+)?")


class ThicknessRefused(ValueError):
    """A thickness mark that cannot be read; says what was expected and what was found."""


class Reuse(StrEnum):
    """Whether a steel drum may be filled again, as far as its thickness goes."""

    YES = "yes"
    IF_MEASURED = "only if measured"
    NO = "no"


@dataclass(frozen=True, slots=True)
class Thickness:
    """Nominal thickness of a steel drum as marked [mm]."""

    top_mm: float
    body_mm: float
    bottom_mm: float

    @property
    def heads_mm(self) -> float:
        """The thinner head."""
        return min(self.top_mm, self.bottom_mm)


def thickness(mark: str) -> Thickness:
    """Read a thickness mark: one number for all of the drum, or top head, body and bottom head.

    Raises
    ------
    ThicknessRefused
        If it is neither, or a thickness is none that drums are made of.
    """
    parts = [part for part in re.split(r"[/\s]+", re.sub(r"\s*mm\s*$", "", mark.strip().lower())) if part]
    if len(parts) not in {1, 3} or not all(_THICKNESS.fullmatch(part) for part in parts):
        raise ThicknessRefused(f"thickness mark: expected one number or three as in 1.2/0.9/1.2, found {mark!r}")
    found = [float(part.replace(",", ".")) for part in parts]
    if not all(_THINNEST_MM <= each <= _THICKEST_MM for each in found):
        raise ThicknessRefused(f"thickness mark: expected {_THINNEST_MM} to {_THICKEST_MM} mm, found {mark!r}")
    top, body, bottom = found if len(found) == 3 else found * 3
    return Thickness(top, body, bottom)


def reuse(mark: str) -> Reuse:
    """Say whether a steel drum with a thickness mark may be filled again, as far as its thickness goes.

    Raises
    ------
    ThicknessRefused
        As `thickness`.

    Notes
    -----
    49 CFR 173.28(b)(4), read on a reconditioner's page of 2010 with its marks. A mark is nominal: the sheet may be
    thinner by its tolerance. A single mark may stand for the body alone, with thicker heads (PHMSA interpretation
    04-0051, opening read); it is taken as it reads. Leak test, dents, rust and former content are asked elsewhere.
    """
    found = thickness(mark)
    if min(found.body_mm, found.heads_mm) >= _THROUGHOUT_MARK_MM:
        return Reuse.YES
    if found.body_mm >= _BODY_MARK_MM and found.heads_mm >= _HEADS_MARK_MM:
        return Reuse.YES
    if found.body_mm >= _MEASURED_BODY_MM and found.heads_mm >= _MEASURED_HEADS_MM:
        return Reuse.IF_MEASURED
    return Reuse.NO


def reuse_if_measured(*, body_mm: float, heads_mm: float) -> bool:
    """Say whether measured thicknesses, of the body and of the thinner head, are enough.

    Raises
    ------
    ThicknessRefused
        If one of them is none that drums are made of.
    """
    if not all(_THINNEST_MM <= each <= _THICKEST_MM for each in (body_mm, heads_mm)):
        raise ThicknessRefused(
            f"measured thickness: expected {_THINNEST_MM} to {_THICKEST_MM} mm, found {body_mm} and {heads_mm}"
        )
    return min(body_mm, heads_mm) >= THROUGHOUT_MM or (body_mm >= BODY_MM and heads_mm >= HEADS_MM)
