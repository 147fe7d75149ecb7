"""Methods: each hard rule of the trade and its opposite, on drums written by hand.

The rules on screws, wedges, wax, wire brushes, forklifts and caps are common practice without a published source; the
square-ended plug and the pad overlap are from US Army TM 55-1915-200 and NAVEDTRA 14057 (read); no wood on oxidisers
rests on EPA-600/2-80-076 pairs 2-101, 104-101 and 30-101 (read).
"""

from dataclasses import dataclass, replace
from typing import Any

import pytest

from reports.facts import DrumFact
from reports.response.advice import MethodRow, MethodTable, StopLine, Who
from reports.response.methods import method_tables
from reports.response.stop_rules import stop_lines
from survey.vocabulary import BreachKind, Closure
from survey.vocabulary import ConditionSign as Sign
from tests.reports.response.situations import around, breach, drum


def table(found: DrumFact) -> MethodTable:
    (only,) = method_tables([found], {found.id: ()})
    return only


def row(found: DrumFact, word: str) -> MethodRow:
    return next(entry for entry in table(found).rows if word in entry.breach)


def refused(found: DrumFact, word: str) -> str:
    return " | ".join(row(found, word).not_here)


PUNCTURE = (breach(BreachKind.PUNCTURE, 12),)
PINHOLE = (breach(BreachKind.PINHOLE, 2),)
TEAR = (breach(BreachKind.TEAR, length_mm=60),)
WEEP = (breach(BreachKind.BUNG_WEEP),)


@dataclass(frozen=True, slots=True)
class Rule:
    """A drum on which a step is refused, and the change after which it is taken."""

    title: str
    drum: DrumFact
    row: str
    refused: str
    twin: dict[str, Any]
    taken: str


STEEL_GLYCOL = drum("ethylene-glycol", breaches=PINHOLE)
RULES = [
    Rule(
        "no screw into a flammable",
        drum("toluene", breaches=PINHOLE),
        "pinhole",
        "self-tapping screw",
        {"product": STEEL_GLYCOL.product},
        "Drive a sheet-metal screw",
    ),
    Rule(
        "no screw into an oxidiser",
        drum("hydrogen-peroxide-35", "1A1", stainless=True, breaches=PINHOLE),
        "pinhole",
        "self-tapping screw",
        {"product": STEEL_GLYCOL.product},
        "Drive a sheet-metal screw",
    ),
    Rule(
        "no screw into a pitted wall",
        replace(STEEL_GLYCOL, signs=frozenset({Sign.PITTED})),
        "pinhole",
        "self-tapping screw",
        {"signs": frozenset()},
        "Drive a sheet-metal screw",
    ),
    Rule(
        "no screw into a hole wider than it",
        replace(STEEL_GLYCOL, breaches=(breach(BreachKind.PINHOLE, 8),)),
        "pinhole",
        "self-tapping screw",
        {"breaches": PINHOLE},
        "Drive a sheet-metal screw",
    ),
    Rule(
        "no wood in nitric acid",
        drum("nitric-acid-68", "1A1", stainless=True, breaches=PUNCTURE),
        "puncture",
        "wooden plug",
        {"product": STEEL_GLYCOL.product},
        "square-ended softwood plug",
    ),
    Rule(
        "no wood in isocyanate",
        drum("toluene-diisocyanate", breaches=TEAR),
        "slit",
        "wooden wedges",
        {"product": drum("hydraulic-oil").product},
        "Tap in softwood wedges",
    ),
    Rule(
        "no wire brush on a flammable",
        drum("toluene", breaches=PUNCTURE),
        "puncture",
        "wire brush",
        {"product": STEEL_GLYCOL.product},
        "Brush the metal bright",
    ),
    Rule(
        "no tight cap on a gas-maker",
        drum("hydrogen-peroxide-35", "1H1", breaches=WEEP),
        "bung",
        "a tight cap",
        {"product": drum("ethylene-glycol").product},
        "put a tight cap over it",
    ),
    Rule(
        "no strap on brittle plastic",
        drum("sodium-hydroxide-50", "1H1", breaches=TEAR, signs=frozenset({Sign.CHALKED_PLASTIC})),
        "slit",
        "strapped pad",
        {"signs": frozenset()},
        "Strap a pad over it",
    ),
    Rule(
        "no rolling of a patched drum",
        drum("ethylene-glycol", breaches=PUNCTURE, signs=frozenset({Sign.PATCHED})),
        "puncture",
        "rolling it",
        {"signs": frozenset()},
        "Roll or turn it",
    ),
    Rule(
        "no putty in a wide hole",
        drum("ethylene-glycol", breaches=(breach(BreachKind.PUNCTURE, 90),)),
        "puncture",
        "epoxy putty",
        {"breaches": PUNCTURE},
        "Pack what still weeps with epoxy putty",
    ),
    Rule(
        "no putty in nitric acid",
        drum("nitric-acid-68", "1A1", stainless=True, breaches=PUNCTURE),
        "puncture",
        "epoxy putty",
        {"product": STEEL_GLYCOL.product},
        "epoxy putty",
    ),
    Rule(
        "no natural rubber alone stands up to chlorinated solvent",
        drum("dichloromethane", breaches=PUNCTURE),
        "puncture",
        "strapped pad",
        {"product": STEEL_GLYCOL.product},
        "Strap a pad over it",
    ),
]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.title)
def test_step_is_refused_here_and_taken_by_the_twin(rule: Rule) -> None:
    assert f"{rule.refused}: not here, because" in refused(rule.drum, rule.row)
    assert rule.taken not in row(rule.drum, rule.row).first_move + row(rule.drum, rule.row).method
    twin = replace(rule.drum, **rule.twin)
    assert rule.taken in row(twin, rule.row).first_move + row(twin, rule.row).method
    assert f"{rule.refused}: not here" not in refused(twin, rule.row)


def test_no_driven_wedge_and_no_screw_in_plastic_but_pressed_wedges() -> None:
    slit = row(drum("sodium-hydroxide-50", "1H1", breaches=TEAR), "slit")
    assert "driven plug or wedge: not here" in " ".join(slit.not_here)
    assert "screw: not here" in " ".join(slit.not_here)
    assert "Press in wedges of rubber or polymer" in slit.method
    steel = row(drum("ethylene-glycol", breaches=TEAR), "slit")
    assert not any("driven plug" in step for step in steel.not_here)


def test_wax_is_refused_on_corrosives_only() -> None:
    assert "waxed plug: not here" in refused(drum("sodium-hydroxide-50", "1H1", breaches=TEAR), "slit")
    assert "waxed plug" not in refused(drum("toluene", breaches=TEAR), "slit")


def test_forklift_is_refused_where_vapour_can_burn() -> None:
    assert "forklift: not here, because its motor can light the vapour" in table(drum("toluene")).caution
    oil = table(drum("hydraulic-oil")).caution
    assert "A forklift with a drum attachment may turn it, never through the pool." in oil
    assert "not here" not in oil


def test_non_sparking_tools_where_flammable() -> None:
    assert "without non-sparking tools stop and call for them" in table(drum("acetone")).caution
    assert "non-sparking" not in table(drum("hydraulic-oil")).caution


def test_square_ended_plug_and_pad_overlap_are_named() -> None:
    method = row(drum("ethylene-glycol", breaches=PUNCTURE), "puncture").method
    assert "square-ended" in method
    assert "50 mm (2 in)" in method


def test_stages_come_in_the_order_crews_work() -> None:
    method = row(drum("ethylene-glycol", breaches=PUNCTURE), "puncture").method
    places = [method.index(word) for word in ("Brush", "plug", "putty", "Strap")]
    assert places == sorted(places)


def test_corroded_area_is_not_squeezed() -> None:
    corroded = row(drum("ethylene-glycol", breaches=(breach(BreachKind.CORRODED_AREA),)), "corroded")
    assert corroded.first_move == "Leave it where it stands."
    assert "tears when it is squeezed" in " ".join(corroded.not_here)
    assert "pumping over" in corroded.method


def test_fibre_drum_gets_no_plug_and_stays_dry() -> None:
    fibre = row(drum("sodium-chlorate", "1G", breaches=PUNCTURE), "fibre")
    assert "Keep it dry" in fibre.method
    assert "plug, strap or wet method: not here" in " ".join(fibre.not_here)


def test_wall_not_on_record_gets_no_plug() -> None:
    hole = row(drum("toluene", None, breaches=PUNCTURE), "wall not on record")
    assert "lug" not in hole.method.replace("plugging an outer drum", "")
    assert hole.materials == ()


def test_row_names_the_materials_that_stand_up() -> None:
    nitric = row(drum("nitric-acid-68", "1A1", stainless=True, breaches=PUNCTURE), "puncture")
    assert any(named.startswith("PTFE plug: excellent") for named in nitric.materials)
    assert not any(named.startswith(("wood", "natural rubber", "neoprene", "nitrile")) for named in nitric.materials)
    caustic = row(drum("sodium-hydroxide-50", "1H1", breaches=TEAR), "slit")
    assert "neoprene wedges: excellent" in caustic.materials
    acetone = row(drum("acetone", breaches=PUNCTURE), "puncture")
    assert not any(named.startswith("nitrile") for named in acetone.materials)


def test_recalled_grades_say_verify() -> None:
    toluene = row(drum("toluene", breaches=PUNCTURE), "puncture")
    assert "wood plug: good (verify)" in toluene.materials
    assert "nitrile plug: fair" in toluene.materials


def test_product_without_grades_gets_no_material() -> None:
    nothing = row(drum("acetonitrile", breaches=PUNCTURE), "puncture")
    assert nothing.materials == ()
    assert "nothing on record says what stands up" in " ".join(nothing.not_here)


def test_present_breach_comes_first_and_names_its_drum() -> None:
    rows = table(drum("toluene", breaches=PUNCTURE, name="A05-2")).rows
    assert [entry.present for entry in rows] == [True] + [False] * (len(rows) - 1)
    assert "A05-2, now" in rows[0].breach


def test_leak_without_a_breach_on_record_is_one_not_found_yet() -> None:
    rows = table(drum("toluene", signs=frozenset({Sign.LEAKING}))).rows
    assert rows[0].present
    assert "not found yet" in rows[0].breach
    assert not any(entry.present for entry in table(drum("toluene")).rows)


def test_missing_bung_is_a_bung_row_now() -> None:
    rows = table(drum("toluene", signs=frozenset({Sign.MISSING_BUNG}))).rows
    assert rows[0].breach == "bung or cap weeping (X01-1, now)"


def test_two_breaches_of_one_drum_are_both_said() -> None:
    rows = table(drum("toluene", breaches=(*PUNCTURE, *PINHOLE))).rows
    assert sum(entry.present for entry in rows) == 2


def test_rows_offered_depend_on_wall_head_and_closure() -> None:
    def labels(found: DrumFact) -> str:
        return " | ".join(entry.breach for entry in table(found).rows)

    assert "pinhole" in labels(drum("toluene", "1A1"))
    assert "ring or lid" not in labels(drum("toluene", "1A1"))
    assert "ring or lid" in labels(drum("toluene", "1A2"))
    assert "crack in plastic" in labels(drum("sodium-hydroxide-50", "1H1"))
    assert "valve" not in labels(drum("toluene"))
    assert "valve" in labels(drum("toluene", closure=Closure.VALVE))
    assert "solid contents" in labels(drum("sodium-hydrosulphite", "1A2"))


def test_all_of_it_is_for_technicians_and_temporary() -> None:
    only = table(drum("toluene", breaches=PUNCTURE))
    assert {entry.who for entry in only.rows} == {Who.TECHNICIAN}
    assert "technicians only" in only.caution
    assert "temporary" in only.caution
    assert "Mark it and look again" in only.caution


def test_identity_from_one_source_asks_for_a_second() -> None:
    assert "second source first" in table(drum(identified=False)).caution
    assert "second source" not in table(drum()).caution


def test_toxic_by_inhalation_asks_for_vapour_suits() -> None:
    assert "vapour-protective suits or no entry" in table(drum("toluene-diisocyanate")).caution
    assert "vapour-protective" not in table(drum("toluene")).caution


def test_wall_that_does_not_suit_the_product_is_questioned() -> None:
    assert "drum and name belong together" in table(drum("nitric-acid-68", "1A1")).caution
    assert "belong together" not in table(drum("nitric-acid-68", "1A1", stainless=True)).caution


def test_drums_are_grouped_by_product_and_wall() -> None:
    found = [
        drum("toluene", name="A05-1"),
        drum("toluene", name="A05-2"),
        drum("toluene", "1H1", name="A05-3"),
        drum("acetone", name="A10-1"),
    ]
    tables = method_tables(found, {one.id: () for one in found})
    assert [(each.product, each.wall, each.drums) for each in tables] == [
        ("Acetone", "steel", ("A10-1",)),
        ("Toluene", "plastic", ("A05-3",)),
        ("Toluene", "steel", ("A05-1", "A05-2")),
    ]


def test_stopped_drum_is_left_out_of_its_group() -> None:
    sound, bulging = drum(name="A10-1"), drum(name="A10-2", signs=frozenset({Sign.BULGING}))
    stops: dict[Any, tuple[StopLine, ...]] = {one.id: stop_lines(one, around()) for one in (sound, bulging)}
    (only,) = method_tables([sound, bulging], stops)
    assert only.drums == ("A10-1",)


def test_drum_that_was_not_asked_about_is_an_error_not_a_permission() -> None:
    with pytest.raises(KeyError):
        method_tables([drum()], {})


def test_unidentified_and_empty_drums_get_no_table() -> None:
    nameless, empty = drum("unidentified", name="A09-1"), drum(name="A09-2", empty_uncleaned=True, fill_l=0.0)
    assert method_tables([nameless, empty], {nameless.id: (), empty.id: ()}) == ()


def test_no_drums_no_tables() -> None:
    assert method_tables([], {}) == ()
