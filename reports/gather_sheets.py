"""Products entered by hand from safety data sheets → products as every rule takes them, with the sheet as source."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import UUID

from reports.facts import Flag
from reports.sheet_match import catalogue_matches, class_contradiction, near_names, un_number, valid_cas
from reports.sheet_traits import traits_of
from reports.wording import listed
from survey.catalogue.compatibility import matrix
from survey.catalogue.product import Cited, Form, Mark, Product
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.catalogue.properties import PROPERTIES
from survey.sheet_units import TemperatureUnit, ViscosityUnit, in_celsius, in_si
from survey.vocabulary import LabelState, SheetBound

KEY = "sheet:"
"""What the key of such a product begins with; the catalogue has no key like it."""
CLASS = re.compile(r"1(\.[1-6][A-HJ-NS]?)?|2\.[123]|3|4\.[123]|5\.[12]|6\.[12]|[789]")
"""A transport class or division as it is written on a sheet."""
PACKING_GROUPS = ("I", "II", "III")
_OTHER_BOUND = {"lowest": SheetBound.AT_MOST, "highest": SheetBound.AT_LEAST}
"""The bound that leaves the cautious end open."""


@dataclass(frozen=True, slots=True)
class _Number:
    """A number of the sheet: the property it is, its unit here, and what is believed of it."""

    prop: str
    of_product: str
    unit: str
    least: float
    most: float


_NUMBERS: Mapping[str, _Number] = {
    "density": _Number("density", "density_kg_m3", "kg/m3", 400, 14_000),
    "viscosity": _Number("viscosity", "viscosity_pa_s", "Pa.s", 1e-4, 1e5),
    "vapour_pressure": _Number("vapour pressure", "vapour_pressure_pa", "Pa", 1e-12, 1e7),
    "flash_point": _Number("flash point", "flash_c", "degC", -130, 500),
    "boiling_point": _Number("boiling point", "boiling_c", "degC", -130, 1500),
    "lower_flammable": _Number("lower flammable limit", "lower_flammable_vol_pct", "vol%", 0.05, 100),
    "upper_flammable": _Number("upper flammable limit", "upper_flammable_vol_pct", "vol%", 0.05, 100),
    "molar_mass": _Number("molar mass", "molar_mass_kg_mol", "kg/mol", 0.002, 10),
}
"""Bounds are judgements: a number outside them was most likely typed in another unit, and is not acted on."""

Sheets = Mapping[UUID, Product]
"""Products entered from safety data sheets, by the id that drums name."""

_IN_ORDER = (("flash_point", "boiling_point"), ("lower_flammable", "upper_flammable"))
"""Of each pair the first must be the lower; where it is not, one of the two is wrong and neither is acted on."""


def sheet_products(entries: Sequence[Any], flags: list[Flag]) -> Sheets:
    """Digest the products entered from safety data sheets.

    Parameters
    ----------
    entries : sequence
        The record's entries, of any order.
    flags : list of Flag
        What is implausible, contradictory or easily confused is added to it; nothing is refused.

    Returns
    -------
    mapping of UUID to Product
        By the id that drums name.
    """
    ordered = sorted(entries, key=lambda entry: (entry.name, str(entry.id)))
    names = _names(ordered)
    return {entry.id: _Sheet(entry, flags).product(names[entry.id]) for entry in ordered}


def product_of(entry: Any, sheets: Sheets, flags: list[Flag]) -> Product:
    """Name the product of a drum, or nobody's: a label that contradicts the content names none, nor do two that differ.

    Parameters
    ----------
    entry
        The drum's entry.
    sheets : mapping of UUID to Product
        Products entered from safety data sheets.
    flags : list of Flag
        What is implausible or contradictory is added to it.

    Returns
    -------
    Product
    """
    if entry.label is LabelState.CONTRADICTS_CONTENT or (entry.product is None and entry.sheet_product_id is None):
        return UNIDENTIFIED
    if entry.product is not None and entry.sheet_product_id is not None:
        found = f"{entry.product} and, from its safety data sheet, {sheets[entry.sheet_product_id].name}"
        flags.append(Flag(f"drum {entry.name}", "product", found, "not identified"))
        return UNIDENTIFIED
    known = catalogue().get(entry.product) if entry.product is not None else sheets[entry.sheet_product_id]
    if known is None:
        flags.append(Flag(f"drum {entry.name}", "product", entry.product, "not identified"))
        return UNIDENTIFIED
    if entry.un_number and known.un_number and entry.un_number.removeprefix("UN") != known.un_number.removeprefix("UN"):
        lists = "its safety data sheet" if known.from_sheet else "the catalogue"
        found = f"{entry.un_number} on {known.name}, which {lists} lists as {known.un_number}"
        flags.append(Flag(f"drum {entry.name}", "un_number", found, f"{known.name}; confirm by a second source"))
    return known


def _names(entries: Sequence[Any]) -> Mapping[UUID, str]:
    """Name each so that it cannot be taken for another one, or for the catalogue's product of the same name."""
    counts = Counter(entry.name.casefold() for entry in entries)
    taken: set[str] = set()
    found = {}
    for entry in entries:
        name = entry.name
        if counts[name.casefold()] > 1 or any(exact for _, exact in near_names(name)):
            name = f"{name} ({entry.supplier or 'supplier not recorded'})"
        number, base = 2, name
        while name.casefold() in taken:
            name, number = f"{base} {number}", number + 1
        taken.add(name.casefold())
        found[entry.id] = name
    return found


class _Sheet:
    """One entry, read with a source for everything taken from it."""

    def __init__(self, entry: Any, flags: list[Flag]) -> None:
        self._entry = entry
        self._flags = flags
        supplier = entry.supplier or "a supplier not recorded"
        revised = "not recorded" if entry.revision_date is None else f"{entry.revision_date:%Y-%m-%d}"
        self.source = (
            f"safety data sheet of {supplier}, revision {revised}, entered by {entry.recorded_by} "
            f"on {entry.recorded_at:%Y-%m-%d}"
        )
        if entry.entered_from:
            self.source += f" from {entry.entered_from}"

    def product(self, name: str) -> Product:
        """Give the product of the entry."""
        entry = self._entry
        self._check_date()
        un, cas = un_number(entry.un_number), valid_cas(entry.cas_numbers)
        if entry.un_number and un is None:
            self._flag("un_number", entry.un_number, "no UN number")
        for wrong in sorted({*entry.cas_numbers} - {*cas}):
            self._flag("cas_numbers", f"{wrong}, of which the check digit is wrong", "not on record")
        same = catalogue_matches(un, cas)
        near = near_names(entry.name)
        if near:
            found = f"near to {listed([each.name for each, _ in near])} in the catalogue"
            self._flag("name", found, "the product of its sheet; confirm by a second key")
        main, subsidiary, packing_group = self._classes(same)
        numbers = self._numbers()
        of_product: dict[str, Any] = {number.of_product: numbers[field] for field, number in _NUMBERS.items()}
        density = numbers["density"]
        traits = traits_of(
            entry.answers,
            classes=[one for one in (main, *subsidiary) if one is not None],
            flash_c=self._flash_at_most_c(),
            density_kg_m3=None if density is None else density.value,
            # A collective number (no CAS number in the catalogue) says what class a product is, not what it is.
            same=[each for each in same if each.cas_numbers],
        )
        for trait, why in traits.contradictions:
            self._flag("answers", f"{trait} {why}", "yes")
        return Product(
            key=f"{KEY}{entry.id}",
            name=name,
            un_number=un,
            cas_numbers=cas,
            hazard_class=main,
            subsidiary=subsidiary,
            packing_group=packing_group,
            form=Form(entry.form),
            traits=traits.has,
            presumed=traits.presumed,
            from_sheet=True,
            reaction_groups=self._groups(),
            resistance_class=None,
            synonyms=(),
            confusable_with=tuple(each.key for each, _ in near),
            identity_source=self.source,
            identity_mark=Mark.READ,
            note=entry.note,
            **of_product,
        )

    def _check_date(self) -> None:
        revised = self._entry.revision_date
        # A day of grace: it may be tomorrow already where the sheet was revised.
        if revised is not None and revised > self._entry.recorded_at.date() + timedelta(days=1):
            self._flag("revision_date", f"{revised:%Y-%m-%d}, after the entry itself", "of a date not known")

    def _classes(self, same: Sequence[Product]) -> tuple[str | None, tuple[str, ...], str | None]:
        """Give class, subsidiary classes and packing group: where they differ, those of the catalogue as well."""
        entry = self._entry
        main = self._class("hazard_class", entry.hazard_class)
        others = [self._class("subsidiary", each) for each in entry.subsidiary]
        groups = [entry.packing_group]
        against = class_contradiction(main, same)
        if against:
            self._flag("hazard_class", against, "the classes of both: the worse is acted on")
        if against or main is None:
            # What the catalogue says of the same number is acted on too; it never replaces what the sheet says.
            others += [one for each in same for one in (each.hazard_class, *each.subsidiary)]
            groups += [each.packing_group for each in same]
        subsidiary = tuple(dict.fromkeys(one for one in others if one is not None and one != main))
        packing_group = min((group for group in groups if group), key=PACKING_GROUPS.index, default=None)
        return main, subsidiary, packing_group

    def _class(self, field: str, typed: str | None) -> str | None:
        said = (typed or "").strip()
        if said and not CLASS.fullmatch(said):
            self._flag(field, said, "class not known")
        return said if CLASS.fullmatch(said) else None

    def _numbers(self) -> dict[str, Cited | None]:
        """Read every number; what is implausible is not acted on."""
        found: dict[str, Cited | None] = {}
        for field in _NUMBERS:
            found[field] = self._number(field, found)
        for lower, upper in _IN_ORDER:
            one, other = found[lower], found[upper]
            if one is not None and other is not None and one.value >= other.value:
                said = f"{one.value:.4g} {one.unit}, {_NUMBERS[upper].prop} {other.value:.4g} {other.unit}"
                self._flag(lower, said, "neither is on record")
                found[lower] = found[upper] = None
        return found

    def _number(self, field: str, earlier: Mapping[str, Cited | None]) -> Cited | None:
        given, number = getattr(self._entry, field), _NUMBERS[field]
        if given is None:
            return None
        value, mark = _converted(given), Mark.READ
        typed = f"{given.value:g} {given.unit}"
        if isinstance(given.unit, ViscosityUnit) and given.unit.kinematic:
            density = earlier["density"]
            if density is None:
                self._flag(field, f"{typed}, and no density", "viscosity not on record")
                return None
            value, mark = value * density.value, Mark.DERIVED
        if not number.least <= value <= number.most:
            believed = f"expected {number.least:g} to {number.most:g} {number.unit}"
            self._flag(field, f"{typed}; {believed}", f"{number.prop} not on record")
            return None
        if given.bound is _OTHER_BOUND[PROPERTIES[number.prop].cautious]:
            # "At most 23 °C" leaves open how far below it flashes: no number is the cautious one.
            return None
        bound = "" if given.bound is SheetBound.EXACTLY else f"{given.bound} "
        where = f", {given.where}" if given.where else ""
        return Cited(value, number.unit, f"{self.source}{where}: {bound}{typed}", mark, given.temperature_c)

    def _flash_at_most_c(self) -> float | None:
        given = self._entry.flash_point
        return None if given is None or given.bound is SheetBound.AT_LEAST else _converted(given)

    def _groups(self) -> tuple[int, ...]:
        charted = {group for pair in matrix() for group in pair}
        asked = sorted({*self._entry.reaction_groups})
        for wrong in (group for group in asked if group not in charted):
            self._flag("reaction_groups", f"{wrong}, which the chart does not have", "not in it")
        return tuple(group for group in asked if group in charted)

    def _flag(self, field: str, found: str, treated_as: str) -> None:
        self._flags.append(Flag(f"product {self._entry.name} from its safety data sheet", field, found, treated_as))


def _converted(given: Any) -> float:
    if isinstance(given.unit, TemperatureUnit):
        return in_celsius(given.value, given.unit)
    return in_si(given.value, given.unit)
