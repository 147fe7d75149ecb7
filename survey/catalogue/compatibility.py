"""What two products do when they meet, worst first; nothing listed is never a clearance.

Order: the makers of lethal gas by name, the other pairs by name, the published chart of reactivity groups, and where
all of these are silent the examples of 40 CFR 264 and 265, Appendix V. Where nobody put a product into a group the
chart cannot be asked: what it would say cannot be excluded.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from survey.catalogue.appendix_v import Example, examples
from survey.catalogue.named_pairs import NamedPair, lethal_pairs, named_pairs
from survey.catalogue.product import Mark, Product, Trait
from survey.catalogue.rows import rows

NOT_LISTED = "No listed reaction. That is not a clearance: the chart is silent on many pairs that react."
SAME_GROUP = "Both are in group {groups}, and pairs within one group are not in the chart at all."
NO_GROUPS = "no reaction groups"
"""The rule of a reaction that cannot be excluded, since nobody put one of the two into a group of the chart."""
LEFT_OPEN = "left open by a safety data sheet"
"""The rule of a reaction that only what nobody answered from a safety data sheet would make."""

_WATER_GROUP = 106
_WATER_REACTIVE_GROUP = 107
_CHART = "EPA-600/2-80-076 (1980), compatibility chart, from a public transcription; products put in its groups by us"

_CLAUSES = (
    ("E", "explode"),
    ("F", "start a fire"),
    ("P", "set off violent polymerisation"),
    ("GT", "give off toxic gas"),
    ("GF", "give off flammable gas"),
    ("G", "give off gas and build up pressure"),
    ("H", "heat up and boil"),
    ("S", "dissolve and spread toxic substances"),
    ("U", "react: the chart says hazardous but unknown"),
)
"""Consequence codes of the chart, worst first, as a person would say them."""


@dataclass(frozen=True, slots=True)
class Reaction:
    """One thing two products do; `clause` finishes “together they …”.

    `lethal` is True only for a gas on the named list and two named products. `certain` is False where one side is
    not identified, or in no group of the chart. `suspect` marks a chart cell whose copy could not be relied on. `rank`
    orders: lower is worse.
    """

    clause: str
    gas: str | None
    lethal: bool
    certain: bool
    codes: tuple[str, ...]
    suspect: bool
    rank: int
    rule: str
    source: str
    mark: Mark


@dataclass(frozen=True, slots=True)
class _Cell:
    codes: tuple[str, ...]
    suspect: bool
    source: str
    mark: Mark


def reactions(a: Product, b: Product) -> tuple[Reaction, ...]:
    """Return what two products do together, worst first; empty means *no listed reaction*, never *compatible*.

    Parameters
    ----------
    a, b : Product
        In either order.

    Returns
    -------
    tuple of Reaction
        Empty for two drums of one product too.
    """
    if not (a.identified and b.identified):
        return _not_excluded(a, b)
    if a.key == b.key:
        return ()
    one, other = a.as_answered, b.as_answered
    found = [_named(pair, lethal=True) for pair in lethal_pairs() if pair.joins(one, other)]
    found += [_named(pair, lethal=False) for pair in named_pairs() if pair.joins(one, other)]
    charted = _charted(one, other)
    if charted is not None:
        found.append(charted)
    if not found:
        found.extend(_exemplified(example) for example in examples(one, other))
    if not (a.reaction_groups and b.reaction_groups):
        found.append(_ungrouped())
    if a.from_sheet or b.from_sheet:
        found.extend(_left_open(a, b, found))
    return tuple(sorted(found, key=lambda reaction: reaction.rank))


def silence(a: Product, b: Product) -> str:
    """Say what it means that nothing is listed of two products.

    Parameters
    ----------
    a, b : Product
        In either order.

    Returns
    -------
    str
        Never a permission: that the chart is silent, and where it holds no such pair, why.
    """
    shared = sorted(set(a.reaction_groups) & set(b.reaction_groups) - {_WATER_GROUP})
    if not shared:
        return NOT_LISTED
    return f"{NOT_LISTED} {SAME_GROUP.format(groups=' and '.join(map(str, shared)))}"


@cache
def matrix() -> Mapping[tuple[int, int], _Cell]:
    """Return the published chart: consequence codes by pair of groups, lower group first.

    Codes are the union of what the copy prints and what is recalled where the copy is suspect.
    """
    return {
        (int(row["group_a"]), int(row["group_b"])): _Cell(
            tuple(row["codes"].split()), row["suspect"] == "yes", row["source"], Mark(row["mark"])
        )
        for row in rows("reaction_matrix.csv")
    }


def _charted(a: Product, b: Product) -> Reaction | None:
    """Join the chart's cells of all group pairs into one reaction."""
    codes: set[str] = set()
    suspect = False
    pairs = []
    for one, other in sorted({(min(x, y), max(x, y)) for x in a.reaction_groups for y in b.reaction_groups if x != y}):
        cell = matrix()[one, other]
        if not cell.codes or not _worth_saying(one, other, a, b):
            continue
        fresh = {code for code in cell.codes if not code.isdigit()} or {"G", "H"}
        suspect = suspect or (cell.suspect and not fresh <= codes)
        codes |= fresh
        pairs.append(f"{one}-{other}")
    if not codes:
        return None
    ordered = tuple(code for code, _ in _CLAUSES if code in codes)
    return Reaction(
        clause=_clause(ordered),
        gas=None,
        lethal=False,
        certain=True,
        codes=ordered,
        suspect=suspect,
        rank=200 + 10 * next(place for place, (code, _) in enumerate(_CLAUSES) if code == ordered[0]) - len(ordered),
        rule="chart " + ", ".join(pairs),
        source=_CHART + (" (a cell of it is suspect: verify)" if suspect else ""),
        mark=Mark.RECALLED if suspect else Mark.READ,
    )


def _worth_saying(one: int, other: int, a: Product, b: Product) -> bool:
    """Whether a chart cell concerns these products and not just the water in them.

    Group 106 is any product that holds water, group 107 any that water sets off: the first is said only beside a
    water-reactive product, the second only beside one that holds water. Other dangers stand in their own groups.
    """
    if other == _WATER_REACTIVE_GROUP:
        return one == _WATER_GROUP
    if other == _WATER_GROUP:
        return Trait.WATER_REACTIVE in a.traits | b.traits
    return True


def _clause(ordered: tuple[str, ...]) -> str:
    """Say the worst two consequences; heat goes without saying beside anything else, plain gas beside a named one."""
    dull = ({"H"} if len(ordered) > 1 else set()) | ({"G"} if {"GT", "GF"} & set(ordered) else set())
    said = [text for code, text in _CLAUSES if code in ordered and code not in dull][:2]
    return "can " + " and ".join(said)


def _named(pair: NamedPair, *, lethal: bool) -> Reaction:
    return Reaction(
        clause=pair.clause,
        gas=pair.gas,
        lethal=lethal,
        certain=True,
        codes=(),
        suspect=False,
        rank=pair.rank if lethal else 100 + pair.rank,
        rule=pair.rule,
        source=pair.source,
        mark=pair.mark,
    )


def _exemplified(example: Example) -> Reaction:
    return Reaction(
        clause=f"may {example.consequence}",
        gas=None,
        lethal=False,
        certain=True,
        codes=(),
        suspect=False,
        rank=300 + int(example.group),
        rule=f"Appendix V group {example.group}",
        source=example.source,
        mark=example.mark,
    )


def _left_open(a: Product, b: Product, found: Sequence[Reaction]) -> Iterator[Reaction]:
    """Say the worst of what two products could do that nobody has answered no to, beyond what is known of them."""
    known = {reaction.rule for reaction in found}
    listed = [(400, pair) for pair in lethal_pairs()] + [(450, pair) for pair in named_pairs()]
    for base, pair in listed:
        if pair.may_join(a, b) and pair.rule not in known:
            yield Reaction(
                clause=f"may {pair.clause.removeprefix('can ')}: a safety data sheet does not exclude it",
                gas=pair.gas,
                lethal=False,
                certain=False,
                codes=(),
                suspect=False,
                rank=base + pair.rank,
                rule=LEFT_OPEN,
                source=f"what nobody answered counts as yes (our rule); {pair.source}",
                mark=Mark.DERIVED,
            )
            return


def _not_excluded(a: Product, b: Product) -> tuple[Reaction, ...]:
    """Say the worst that an unidentified content could do with the other product."""
    known = a if a.identified else b
    worst = next((pair for pair in lethal_pairs() if known.identified and pair.wants(known)), None)
    clause, gas = "may react in any way: what is not identified cannot be excluded", None
    if worst is not None:
        clause, gas = f"may {worst.clause}: one is not identified, so it cannot be excluded", worst.gas
    return (
        Reaction(
            clause=clause,
            gas=gas,
            lethal=False,
            certain=False,
            codes=(),
            suspect=False,
            rank=400 + (worst.rank if worst else 99),
            rule="unidentified",
            source="29 CFR 1910.120(j)(1)(iv): unlabelled drums are treated as hazardous until identified",
            mark=Mark.READ,
        ),
    )


def _ungrouped() -> Reaction:
    """Say that the chart could not be asked about a product that nobody put into one of its groups."""
    return Reaction(
        clause="may react in any way: nothing on record says which group of the chart one of them is in",
        gas=None,
        lethal=False,
        certain=False,
        codes=(),
        suspect=False,
        rank=500,
        rule=NO_GROUPS,
        source="design rule: what is not on record is not harmless",
        mark=Mark.DERIVED,
    )
