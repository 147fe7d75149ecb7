"""Products as sold in drums: the rows of the catalogue, found by key, UN number, CAS number or name."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from survey.catalogue.names import Typed, folded
from survey.catalogue.product import UNIDENTIFIED_KEY, Cited, Form, Mark, Product, Trait
from survey.catalogue.rows import CatalogueFault, cited, listed, rows

CAUTIOUS_PICK = MappingProxyType(
    {
        "density": max,  # the heavier drum is the harder one to lift and to overpack
        "viscosity": min,  # the thinner liquid runs farther
        "flash point": min,
        "vapour pressure": max,
        "lower flammable limit": min,
        "upper flammable limit": max,
        "immediately dangerous concentration": min,
        "reportable quantity": min,
    }
)
"""Which of several published values is acted on: the cautious one, by property."""

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
    synonyms=("unknown", "unlabelled", "no label"),
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
class Catalogue:
    """All products, with their value, trait and name rows."""

    products: tuple[Product, ...]
    by_key: Mapping[str, Product]
    by_un: Mapping[str, tuple[Product, ...]]
    by_cas: Mapping[str, tuple[Product, ...]]
    values: Mapping[str, tuple[Values, ...]]
    trait_sources: Mapping[tuple[str, Trait], tuple[str, Mark]]
    confusables: tuple[Confusable, ...]
    folded_names: Mapping[str, tuple[str, ...]]

    def get(self, key: str) -> Product | None:
        return self.by_key.get(key)

    def search(self, text: str, limit: int = 10) -> tuple[Product, ...]:
        """Return the products whose UN number, CAS number or name is nearest to what was typed, best first."""
        typed = Typed(text)
        if not typed.folded:
            return ()
        number = typed.folded.removeprefix("un").strip()
        exact = self.by_un.get(number, ()) or self.by_cas.get(text.strip(), ())
        scored = [
            (max(map(typed.closeness, self.folded_names[product.key])), product)
            for product in self.products
            if product not in exact
        ]
        near = sorted((pair for pair in scored if pair[0] > 0), key=lambda pair: (-pair[0], pair[1].name))
        return (*exact, *(product for _, product in near))[:limit]

    def confusable(self, key: str) -> tuple[Confusable, ...]:
        """Return the warnings to show when this product is picked."""
        return tuple(pair for pair in self.confusables if key in pair.keys)


@cache
def catalogue() -> Catalogue:
    """Read the catalogue once."""
    values = _values()
    traits, trait_sources = _traits()
    confusables = tuple(
        Confusable((row["key"], row["other_key"]), row["why"], row["source"], Mark(row["mark"]))
        for row in rows("confusables.csv")
    )
    synonyms: dict[str, list[str]] = defaultdict(list)
    for row in rows("synonyms.csv"):
        synonyms[row["key"]].append(row["synonym"])
    products = tuple(
        _product(row, values.get(row["key"], ()), traits.get(row["key"], frozenset()), synonyms, confusables)
        for row in rows("products.csv")
    )
    by_key = {product.key: product for product in (*products, UNIDENTIFIED)}
    for key in {*values, *traits, *synonyms, *(key for pair in confusables for key in pair.keys)}:
        if key not in by_key:
            raise CatalogueFault(f"a row names the product {key}, which products.csv does not hold")
    by_un: dict[str, list[Product]] = defaultdict(list)
    by_cas: dict[str, list[Product]] = defaultdict(list)
    for product in products:
        if product.un_number:
            by_un[product.un_number].append(product)
        for cas in product.cas_numbers:
            by_cas[cas].append(product)
    return Catalogue(
        products=products,
        by_key=MappingProxyType(by_key),
        by_un=MappingProxyType({un: tuple(found) for un, found in by_un.items()}),
        by_cas=MappingProxyType({cas: tuple(found) for cas, found in by_cas.items()}),
        values=MappingProxyType(values),
        trait_sources=MappingProxyType(trait_sources),
        confusables=confusables,
        folded_names=MappingProxyType(
            {product.key: tuple(map(folded, (product.name, product.key, *product.synonyms))) for product in products}
        ),
    )


def _values() -> dict[str, tuple[Values, ...]]:
    found: dict[str, dict[str, list[Cited]]] = defaultdict(lambda: defaultdict(list))
    for row in rows("product_values.csv"):
        if row["property"] not in CAUTIOUS_PICK:
            raise CatalogueFault(f"product_values.csv: unknown property {row['property']} at {row['key']}")
        found[row["key"]][row["property"]].append(cited(row))
    return {
        key: tuple(
            Values(prop, CAUTIOUS_PICK[prop](entries, key=lambda entry: entry.value), tuple(entries))
            for prop, entries in sorted(properties.items())
        )
        for key, properties in found.items()
    }


def _traits() -> tuple[dict[str, frozenset[Trait]], dict[tuple[str, Trait], tuple[str, Mark]]]:
    sources = {
        (row["key"], Trait(row["trait"])): (row["source"], Mark(row["mark"])) for row in rows("product_traits.csv")
    }
    grouped: dict[str, set[Trait]] = defaultdict(set)
    for key, trait in sources:
        grouped[key].add(trait)
    return {key: frozenset(traits) for key, traits in grouped.items()}, sources


def _product(
    row: Mapping[str, str],
    values: tuple[Values, ...],
    traits: frozenset[Trait],
    synonyms: Mapping[str, list[str]],
    confusables: tuple[Confusable, ...],
) -> Product:
    key = row["key"]
    acted_on = {value.prop: value.acted_on for value in values}
    return Product(
        key=key,
        name=row["name"],
        un_number=row["un_number"] or None,
        cas_numbers=listed(row["cas_numbers"]),
        hazard_class=row["hazard_class"] or None,
        subsidiary=listed(row["subsidiary"]),
        packing_group=row["packing_group"] or None,
        form=Form(row["form"]),
        density_kg_m3=acted_on.get("density"),
        viscosity_pa_s=acted_on.get("viscosity"),
        flash_c=acted_on.get("flash point"),
        vapour_pressure_pa=acted_on.get("vapour pressure"),
        traits=traits,
        reaction_groups=tuple(int(group) for group in listed(row["reaction_groups"])),
        resistance_class=row["resistance_class"] or None,
        synonyms=tuple(synonyms.get(key, ())),
        confusable_with=tuple(other for pair in confusables if key in pair.keys for other in pair.keys if other != key),
        identity_source=row["identity_source"],
        identity_mark=Mark(row["identity_mark"]),
        note=row["note"],
    )
