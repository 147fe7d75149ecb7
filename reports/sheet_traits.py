"""What the answers from a safety data sheet say of a product's traits: yes, no, or open.

A trait counts as absent only where somebody answered *no* and nothing contradicts that. An open one counts as present
wherever that adds a line, a caution or a refusal (`Product.presumed`).
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Protocol

from survey.catalogue.product import NOT_PRESUMED, Product, Trait
from survey.vocabulary import YesNoUnknown

FLAMMABLE_UP_TO_C = 60.0
"""49 CFR 173.120: a liquid with a flash point up to 60 °C is a flammable one (recalled)."""
WATER_KG_M3 = 1000.0

ASKED = frozenset(Trait) - NOT_PRESUMED
"""Every trait that stop rules, pairs, ensembles, overpacks, methods or kit ask for; an interceptor is trusted with what
floats, so that floating is worked out and never presumed."""

CLASS_MEANS: Mapping[str, Trait] = MappingProxyType(
    {
        "2.1": Trait.FLAMMABLE,
        "2.3": Trait.TOXIC_BY_INHALATION,
        "3": Trait.FLAMMABLE,
        "4.1": Trait.FLAMMABLE,
        "4.2": Trait.SELF_HEATING,
        "4.3": Trait.WATER_REACTIVE,
        "5.1": Trait.OXIDISER,
        "5.2": Trait.ORGANIC_PEROXIDE,
        "6.1": Trait.TOXIC,
        "8": Trait.CORROSIVE,
    }
)
"""What a transport class is by its name."""

_MEANS: Mapping[Trait, frozenset[Trait]] = MappingProxyType(
    {
        Trait.OXIDISING_ACID: frozenset({Trait.ACID}),
        Trait.HYDROFLUORIC: frozenset({Trait.ACID}),
        Trait.ORGANIC_PEROXIDE: frozenset({Trait.ORGANIC}),
        Trait.ISOCYANATE: frozenset({Trait.WATER_REACTIVE, Trait.ORGANIC}),
    }
)
"""What a trait says of another by what the words mean."""


class Answered(Protocol):
    """One answer of the record."""

    trait: Trait
    answer: YesNoUnknown


@dataclass(frozen=True, slots=True)
class Traits:
    """The traits of a product, those of them that are only presumed, and where its sources contradict each other."""

    has: frozenset[Trait]
    presumed: frozenset[Trait]
    contradictions: tuple[tuple[Trait, str], ...]


def traits_of(
    answers: Iterable[Answered],
    *,
    classes: Sequence[str],
    flash_c: float | None,
    density_kg_m3: float | None,
    same: Sequence[Product],
) -> Traits:
    """Judge the answers from a sheet against the rest of it and against the catalogue.

    Parameters
    ----------
    answers : iterable of Answered
        Several on one trait count by the worst: yes, then unknown, then no.
    classes : sequence of str
        Transport class and subsidiary ones.
    flash_c : float or None
        Flash point [°C]: at most this.
    density_kg_m3 : float or None
        Density [kg/m³].
    same : sequence of Product
        Catalogue products of the same number; a trait that all of them have is not taken away by a *no*.

    Returns
    -------
    Traits
    """
    said: dict[Trait, set[YesNoUnknown]] = defaultdict(set)
    for each in answers:
        said[each.trait].add(each.answer)
    yes = {trait for trait, found in said.items() if YesNoUnknown.YES in found}
    no = {trait for trait, found in said.items() if found == {YesNoUnknown.NO}}
    reasons = [
        (trait, "is answered yes and no")
        for trait, found in said.items()
        if {YesNoUnknown.YES, YesNoUnknown.NO} <= found
    ]
    means = dict(_meant(yes, classes, flash_c, same))
    reasons += [(trait, f"is answered no, and {why}") for trait, why in means.items() if trait in no]
    known = yes | set(means)
    presumed = ASKED - known - no
    has = frozenset(known | presumed)
    return Traits(
        has=has - NOT_PRESUMED | _in_water(has, no, density_kg_m3),
        presumed=frozenset(presumed),
        contradictions=tuple(sorted(reasons)),
    )


def _meant(
    yes: Iterable[Trait], classes: Sequence[str], flash_c: float | None, same: Sequence[Product]
) -> Iterator[tuple[Trait, str]]:
    """Give the traits that follow from something else on record, and from what."""
    for one in classes:
        # 1.4S and the like: the compatibility letter behind a class says nothing here.
        trait = CLASS_MEANS.get(one)
        if trait is not None:
            yield trait, f"class {one} is {trait}"
    if flash_c is not None and flash_c <= FLAMMABLE_UP_TO_C:
        yield Trait.FLAMMABLE, f"a flash point of {flash_c:.3g} °C is that of a flammable liquid"
    for one_trait in sorted(yes):
        for trait in sorted(_MEANS.get(one_trait, ())):
            yield trait, f"{one_trait} is answered yes"
    if same:
        shared = frozenset.intersection(*(product.known_traits for product in same))
        names = ", ".join(sorted(product.name for product in same))
        for trait in sorted(shared & ASKED):
            yield trait, f"the catalogue says it of {names}"


def _in_water(has: frozenset[Trait], no: Collection[Trait], density_kg_m3: float | None) -> frozenset[Trait]:
    """Say whether it floats or sinks: worked out from its density, and only for what does not mix at all."""
    partly = has & {Trait.PARTLY_MISCIBLE}
    if (
        density_kg_m3 is None
        or density_kg_m3 == WATER_KG_M3
        or not {*no} >= {Trait.WATER_MISCIBLE, Trait.PARTLY_MISCIBLE}
    ):
        return partly
    return frozenset({Trait.FLOATS if density_kg_m3 < WATER_KG_M3 else Trait.SINKS})
