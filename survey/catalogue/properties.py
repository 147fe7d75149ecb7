"""Which properties of a product are numbers, in which unit, and which of several published values is acted on."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from survey.catalogue.product import Cited


@dataclass(frozen=True, slots=True)
class Property:
    """One property: the units it may be given in, and the end that is the cautious one."""

    name: str
    units: tuple[str, ...]
    cautious: Literal["lowest", "highest"]
    because: str
    at_a_temperature: bool = False

    def acted_on(self, entries: Iterable[Cited]) -> Cited:
        """Return the cautious one of several values in one unit."""
        pick: Callable[..., Cited] = min if self.cautious == "lowest" else max
        return pick(entries, key=lambda entry: entry.value)


PROPERTIES: Mapping[str, Property] = MappingProxyType(
    {
        each.name: each
        for each in (
            Property(
                "density",
                ("kg/m3",),
                "highest",
                "the heavier drum is the harder one to lift and to overpack",
                at_a_temperature=True,
            ),
            Property(
                "viscosity",
                ("Pa.s",),
                "lowest",
                "the thinner liquid leaks faster and runs farther",
                at_a_temperature=True,
            ),
            Property("vapour pressure", ("Pa",), "highest", "more vapour is given off", at_a_temperature=True),
            Property("flash point", ("degC",), "lowest", "its vapour can burn in a colder room"),
            Property("boiling point", ("degC",), "lowest", "it boils, and bursts a closed drum, at less heat"),
            Property("lower flammable limit", ("vol%",), "lowest", "less vapour is enough to burn"),
            Property("upper flammable limit", ("vol%",), "highest", "more vapour can still burn"),
            Property("molar mass", ("kg/mol",), "lowest", "a kilogram makes more vapour by volume"),
            Property(
                "immediately dangerous concentration", ("ppm", "mg/m3"), "lowest", "less of it in the air is dangerous"
            ),
            Property("reportable quantity", ("lb",), "lowest", "a smaller spill is to be reported"),
        )
    }
)
"""All of them, by name. A reportable quantity stands in pounds, as the law does: of the substance, not the solution."""
