"""What an entry rests on, as far as it is on record: vapour-protective suits. What nobody recorded is not there."""

import re
from collections.abc import Sequence
from functools import cache

from reports.facts import KitFact
from reports.response.rule_rows import choices, filled, rule_rows
from survey.vocabulary import KitKind


def vapour_suits(kit: Sequence[KitFact]) -> bool:
    """Whether vapour-protective suits enough for an entry and its back-up are on record, on the apparatus or on site.

    Parameters
    ----------
    kit : sequence of KitFact
        What is on record on site and on the apparatus.

    Returns
    -------
    bool
        True where the quantities of items that are called so add up to what the table asks for.
    """
    kind, words, needed = _suits()
    held = (
        item.quantity
        for item in kit
        if item.kind is kind and any(_begins(word, f"{item.name} {item.material}".lower()) for word in words)
    )
    return sum(held) >= needed


def _begins(word: str, text: str) -> bool:
    return re.search(rf"\b{re.escape(word)}", text) is not None


@cache
def _suits() -> tuple[KitKind, tuple[str, ...], int]:
    (row,) = filled(rule_rows("entry_kit.csv"))
    return KitKind(row["kind"]), choices(row["words"]), int(row["needed"])
