"""Products as sold in drums: the rows of the catalogue, found by key, UN number, CAS number or name."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType
from typing import Any

from survey.catalogue.names import Name, Typed
from survey.catalogue.product import UNIDENTIFIED_KEY, Cited, Form, Mark, Product, Rating, Trait
from survey.catalogue.properties import PROPERTIES
from survey.catalogue.rows import CatalogueFault, cited, grouped, listed, rated, rows, storage_limit

UNIDENTIFIED = Product(
    key=UNIDENTIFIED_KEY,
    name="not identified",
    un_number=None,
    cas_numbers=(),
    hazard_class=None,
    subsidiary=(),
    packing_group=None,
    form=Form.UNKNOWN,
    density_kg_m3=None,
    viscosity_pa_s=None,
    flash_c=None,
    vapour_pressure_pa=None,
    traits=frozenset(),
    reaction_groups=(),
    resistance_class=None,
    synonyms=("unidentified", "unknown", "unlabelled", "no label"),
    confusable_with=(),
    identity_source="29 CFR 1910.120(j)(1)(iv): unlabelled drums are treated as hazardous until identified",
    identity_mark=Mark.READ,
    note="Nothing is known of it: every rule takes the worst case.",
)


@dataclass(frozen=True, slots=True)
class Confusable:
    """Two names that have been, or are easily, taken for one another."""

    keys: tuple[str, str]
    why: str
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class Values:
    """Every value on record for one product and property; `acted_on` is the cautious one."""

    prop: str
    acted_on: Cited
    all: tuple[Cited, ...]


@dataclass(frozen=True, slots=True)
class Near:
    """A product that was found, the name or number that fitted, and how near it is: 1 is the same."""

    product: Product
    matched: str
    closeness: float


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All products, with their value, trait and name rows."""

    products: tuple[Product, ...]
    by_key: Mapping[str, Product]
    by_un: Mapping[str, tuple[Product, ...]]
    by_cas: Mapping[str, tuple[Product, ...]]
    values: Mapping[str, tuple[Values, ...]]
    ratings: Mapping[str, tuple[Rating, ...]]
    trait_sources: Mapping[tuple[str, Trait], tuple[str, Mark]]
    confusables: tuple[Confusable, ...]
    names: Mapping[str, tuple[Name, ...]]

    def get(self, key: str) -> Product | None:
        return self.by_key.get(key)

    def near(self, text: str) -> tuple[Near, ...]:
        """Return every product whose UN number, CAS number or name is near to what was typed, nearest first."""
        typed = Typed(text)
        if not typed.folded:
            return ()
        number = typed.folded.removeprefix("un").removeprefix("na").strip()
        exact = self.by_un.get(number, ()) or self.by_cas.get(text.strip(), ())
        found = [Near(product, number if number in self.by_un else text.strip(), 1.0) for product in exact]
        scored = (
            Near(self.by_key[key], *max(((name.text, typed.closeness(name)) for name in names), key=_closeness))
            for key, names in self.names.items()
            if self.by_key[key] not in exact
        )
        near = sorted((each for each in scored if each.closeness > 0), key=_nearest_first)
        return (*found, *near)

    def search(self, text: str, limit: int = 10) -> tuple[Product, ...]:
        """Return the products whose UN number, CAS number or name is nearest to what was typed, best first."""
        return tuple(near.product for near in self.near(text))[:limit]

    def confusable(self, key: str) -> tuple[Confusable, ...]:
        """Return the warnings to show when this product is picked."""
        return tuple(pair for pair in self.confusables if key in pair.keys)


def _closeness(scored: tuple[str, float]) -> float:
    return scored[1]


def _nearest_first(near: Near) -> tuple[float, str]:
    return -near.closeness, near.product.name


@cache
def catalogue() -> Catalogue:
    """Read the catalogue once."""
    values = _values()
    ratings = grouped("nfpa_704.csv", rated)
    limits = grouped("storage_limits.csv", storage_limit)
    traits, trait_sources = _traits()
    confusables = tuple(
        Confusable((row["key"], row["other_key"]), row["why"], row["source"], Mark(row["mark"]))
        for row in rows("confusables.csv")
    )
    synonyms = grouped("synonyms.csv", lambda row: row["synonym"])
    products = tuple(
        replace(
            _product(row, traits.get(row["key"], frozenset()), synonyms, confusables),
            **_numbers(values.get(row["key"], ())),
            nfpa_704=_strictest(ratings.get(row["key"], ())),
            storage_limits=limits.get(row["key"], ()),
        )
        for row in rows("products.csv")
    )
    by_key = {product.key: product for product in (*products, UNIDENTIFIED)}
    if len(by_key) != len(products) + 1:
        raise CatalogueFault("products.csv: a key stands twice, or is the one of a drum that is not identified")
    paired = {key for pair in confusables for key in pair.keys}
    for key in {*values, *ratings, *limits, *traits, *synonyms, *paired}:
        if key not in by_key:
            raise CatalogueFault(f"a row names the product {key}, which products.csv does not hold")
    return Catalogue(
        products=products,
        by_key=MappingProxyType(by_key),
        by_un=_indexed(products, lambda product: (product.un_number,) if product.un_number else ()),
        by_cas=_indexed(products, lambda product: product.cas_numbers),
        values=MappingProxyType(values),
        ratings=MappingProxyType(ratings),
        trait_sources=MappingProxyType(trait_sources),
        confusables=confusables,
        names=MappingProxyType(
            {
                product.key: tuple(map(Name, dict.fromkeys((product.name, *product.synonyms, product.key))))
                for product in by_key.values()
            }
        ),
    )


def _indexed(
    products: Iterable[Product], of: Callable[[Product], tuple[str, ...]]
) -> Mapping[str, tuple[Product, ...]]:
    index: dict[str, list[Product]] = defaultdict(list)
    for product in products:
        for number in of(product):
            index[number].append(product)
    return MappingProxyType({number: tuple(found) for number, found in index.items()})


def _values() -> dict[str, tuple[Values, ...]]:
    found: dict[str, dict[str, list[Cited]]] = defaultdict(lambda: defaultdict(list))
    for row in rows("product_values.csv"):
        prop = PROPERTIES.get(row["property"])
        where = f"product_values.csv: {row['property']} of {row['key']}"
        if prop is None:
            raise CatalogueFault(f"{where}: expected one of {', '.join(PROPERTIES)}")
        entries = found[row["key"]][prop.name]
        entries.append(cited(row))
        if row["unit"] not in prop.units or len({entry.unit for entry in entries}) > 1:
            raise CatalogueFault(f"{where}: expected one of {', '.join(prop.units)} throughout, found {row['unit']!r}")
        if prop.at_a_temperature and entries[-1].temperature_c is None:
            raise CatalogueFault(f"{where}: expected a temperature, found none")
    return {
        key: tuple(
            Values(prop, PROPERTIES[prop].acted_on(entries), tuple(entries))
            for prop, entries in sorted(properties.items())
        )
        for key, properties in found.items()
    }


def _traits() -> tuple[dict[str, frozenset[Trait]], dict[tuple[str, Trait], tuple[str, Mark]]]:
    sources = {
        (row["key"], Trait(row["trait"])): (row["source"], Mark(row["mark"])) for row in rows("product_traits.csv")
    }
    grouped_traits: dict[str, set[Trait]] = defaultdict(set)
    for key, trait in sources:
        grouped_traits[key].add(trait)
    return {key: frozenset(traits) for key, traits in grouped_traits.items()}, sources


def _strictest(ratings: tuple[Rating, ...]) -> Rating | None:
    """Return the highest of each part over all ratings on record, since neither list is authoritative."""
    if not ratings:
        return None
    return Rating(
        health=max(rating.health for rating in ratings),
        flammability=max(rating.flammability for rating in ratings),
        instability=max(rating.instability for rating in ratings),
        special=tuple(sorted({mark for rating in ratings for mark in rating.special})),
        source="; ".join(dict.fromkeys(rating.source for rating in ratings)),
        mark=Mark.READ if all(rating.mark is Mark.READ for rating in ratings) else Mark.RECALLED,
    )


def _numbers(values: tuple[Values, ...]) -> dict[str, Any]:
    """Give the fields of a product that hold a number."""
    acted_on = {value.prop: value.acted_on for value in values}
    return {field: acted_on.get(prop) for field, prop in _FIELDS.items()}


_FIELDS = {
    "density_kg_m3": "density",
    "viscosity_pa_s": "viscosity",
    "flash_c": "flash point",
    "vapour_pressure_pa": "vapour pressure",
    "boiling_c": "boiling point",
    "lower_flammable_vol_pct": "lower flammable limit",
    "upper_flammable_vol_pct": "upper flammable limit",
    "molar_mass_kg_mol": "molar mass",
    "immediately_dangerous": "immediately dangerous concentration",
    "reportable_lb": "reportable quantity",
}


def _product(
    row: Mapping[str, str],
    traits: frozenset[Trait],
    synonyms: Mapping[str, tuple[str, ...]],
    confusables: tuple[Confusable, ...],
) -> Product:
    """Read what a product is, without its numbers."""
    key = row["key"]
    return Product(
        key=key,
        name=row["name"],
        un_number=row["un_number"] or None,
        cas_numbers=listed(row["cas_numbers"]),
        hazard_class=row["hazard_class"] or None,
        subsidiary=listed(row["subsidiary"]),
        packing_group=row["packing_group"] or None,
        form=Form(row["form"]),
        density_kg_m3=None,
        viscosity_pa_s=None,
        flash_c=None,
        vapour_pressure_pa=None,
        traits=traits,
        reaction_groups=tuple(int(group) for group in listed(row["reaction_groups"])),
        resistance_class=row["resistance_class"] or None,
        synonyms=synonyms.get(key, ()),
        confusable_with=tuple(other for pair in confusables if key in pair.keys for other in pair.keys if other != key),
        identity_source=row["identity_source"],
        identity_mark=Mark(row["identity_mark"]),
        note=row["note"],
    )
