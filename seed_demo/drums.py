"""Drums as the demo sites hold them: what the label of each product says, and the drum it comes in."""

from dataclasses import dataclass
from typing import Any

from survey.vocabulary import Closure, IdentitySource, LabelState, Orientation

NOMINAL_L = 208.0
"""A drum of 55 US gallons, by its nominal size [L]."""
BY_LABEL = (IdentitySource.LABEL,)
BY_LABEL_AND_LIST = (IdentitySource.LABEL, IdentitySource.STOCK_LIST)
BY_LABEL_AND_PAPERS = (IdentitySource.LABEL, IdentitySource.PAPERWORK)


@dataclass(frozen=True, slots=True)
class Label:
    """What the label of one product says, and the container it is sold in."""

    un_number: str | None
    cas_number: str | None
    container_code: str
    concentration_pct: float | None = None
    closure: Closure = Closure.BUNGS
    stainless: bool = False


_VENTED = Closure.VENTED_BUNG
_RING = Closure.RING_LID

# UN and CAS numbers as printed on the labels; the tests hold them against the catalogue. B18's label is the one that
# a crew should doubt: UN 1849 is the entry of the hydrated solid, and the drums hold a solution.
LABELS: dict[str, Label] = {
    "hydrochloric-acid-32": Label("1789", "7647-01-0", "1H1", 32),
    "sodium-hypochlorite-12-5": Label("1791", "7681-52-9", "1H1", 12.5, _VENTED),
    "sodium-hydroxide-50": Label("1824", "1310-73-2", "1H1", 50),
    "isopropanol": Label("1219", "67-63-0", "1A1"),
    "toluene": Label("1294", "108-88-3", "1A1"),
    "hydrogen-peroxide-35": Label("2014", "7722-84-1", "1H1", 35, _VENTED),
    "hydraulic-oil": Label(None, None, "1A1"),
    "ethylene-glycol": Label(None, "107-21-1", "1H1"),
    "acetone": Label("1090", "67-64-1", "1A1"),
    "methyl-ethyl-ketone": Label("1193", "78-93-3", "1A1"),
    "xylenes": Label("1307", "1330-20-7", "1A1"),
    "styrene-stabilised": Label("2055", "100-42-5", "1A1"),
    "acetic-acid-glacial": Label("2789", "64-19-7", "1H1"),
    "nitric-acid-68": Label("2031", "7697-37-2", "1A1", 68, stainless=True),
    "sodium-cyanide-solution-30": Label("3414", "143-33-9", "1H1", 30),
    "sodium-sulphide-solution": Label("1849", "1313-82-2", "1H1"),
    "sodium-hydrosulphite": Label("1384", "7775-14-6", "1A2", closure=_RING),
    "toluene-diisocyanate": Label("2078", "584-84-9", "1A1"),
    "lubricating-oil": Label(None, None, "1A1"),
    "ammonia-solution-25": Label("2672", "1336-21-6", "1H1", 25),
    "phosphoric-acid-75": Label("1805", "7664-38-2", "1H1", 75),
    "mek-peroxide-solution": Label("3105", "1338-23-4", "3H1", closure=_VENTED),
    "calcium-hypochlorite-dry": Label("1748", "7778-54-3", "1H2", closure=_RING),
    "methanol": Label("1230", "67-56-1", "1A1"),
    "waste-solvent-flammable": Label("1993", None, "1A1"),
    "dichloromethane": Label("1593", "75-09-2", "1A1"),
    "sodium-cyanide-solid": Label("1689", "143-33-9", "1A2", closure=_RING),
}


def drum(product: str, **differs: Any) -> dict[str, Any]:
    """Give a full, upright drum with a legible label, but for what `differs`."""
    label = LABELS[product]
    return {
        "product": product,
        "un_number": label.un_number,
        "cas_number": label.cas_number,
        "concentration_pct": label.concentration_pct,
        "container_code": label.container_code,
        "stainless": label.stainless,
        "closure": label.closure,
        "capacity_l": NOMINAL_L,
        "fill_pct": 100,
        "orientation": Orientation.UPRIGHT,
        "label": LabelState.LEGIBLE,
        "identity_sources": BY_LABEL,
        "signs_checked": True,
    } | differs


def unnamed(container_code: str | None, label: LabelState, **differs: Any) -> dict[str, Any]:
    """Give an upright drum that nobody can name, its fill unknown, but for what `differs`."""
    return {
        "container_code": container_code,
        "capacity_l": NOMINAL_L,
        "orientation": Orientation.UPRIGHT,
        "label": label,
        "signs_checked": True,
    } | differs
