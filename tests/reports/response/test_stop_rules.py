"""Stop rules: situations written by hand, each with a twin that differs in one thing and flips the answer."""

from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

import pytest

from reports.facts import DrumFact
from reports.response.conditions import Surroundings, parse
from reports.response.methods import method_tables
from reports.response.stop_rules import stop_lines, stop_rules
from survey.vocabulary import ConditionSign as Sign
from survey.vocabulary import LabelState, Sighting, YesNoUnknown
from tests.reports.response.situations import AS_OF, around, drum


@dataclass(frozen=True, slots=True)
class Situation:
    """A drum in its surroundings, the rule that stops it, and what its twin changes."""

    title: str
    basis: str
    rule: str
    drum: DrumFact
    twin: dict[str, Any]
    around: Surroundings = field(default_factory=around)
    twin_around: dict[str, Any] = field(default_factory=dict)


def with_signs(*signs: Sign) -> frozenset[Sign]:
    return frozenset(signs)


PRACTICE = "practice of hazardous-materials technicians"
ARMY = "US Army risk management article on bulging drums (read)"
OSHA = "29 CFR 1910.120(j) (read in copies)"
MONOMER = drum("styrene-stabilised", inhibitor_until=date(2026, 3, 31))
SITUATIONS = [
    Situation(
        "bulging",
        "WAC 296-843-18010(4); " + OSHA,
        "S10",
        drum("acetone", signs=with_signs(Sign.BULGING)),
        {"signs": with_signs(Sign.WALL_DENT)},
    ),
    Situation("pinging", ARMY, "S11", drum(signs=with_signs(Sign.PINGING)), {"signs": with_signs(Sign.WET_RING)}),
    Situation(
        "hissing",
        "common practice, no source",
        "S11",
        drum(signs=with_signs(Sign.HISSING)),
        {"signs": with_signs(Sign.ODOUR_REPORTED)},
    ),
    Situation(
        "venting",
        "common practice, no source",
        "S11",
        drum(signs=with_signs(Sign.VENTING)),
        {"signs": with_signs(Sign.LEAKING)},
    ),
    Situation("hot", ARMY, "S12", drum(signs=with_signs(Sign.HOT)), {"signs": with_signs(Sign.CHIME_RUST)}),
    Situation(
        "frost",
        "common practice, no source",
        "S13",
        drum(signs=with_signs(Sign.FROST)),
        {"signs": with_signs(Sign.PITTED)},
    ),
    Situation(
        "vapour seen",
        "29 CFR 1910.120 App. B (read in copies)",
        "S14",
        drum(signs=with_signs(Sign.VAPOUR)),
        {"signs": with_signs(Sign.ODOUR_REPORTED)},
    ),
    Situation(
        "exposed to fire",
        "common practice, no source",
        "S05",
        drum(signs=with_signs(Sign.FIRE_EXPOSED)),
        {"signs": with_signs(Sign.CHIME_DENT)},
    ),
    Situation(
        "head drawn in",
        "common practice, no source",
        "S35",
        drum(signs=with_signs(Sign.DISHED_HEAD)),
        {"signs": with_signs(Sign.WALL_DENT)},
    ),
    Situation(
        "crystals on a peroxide-former",
        OSHA + ", lab packs; university guides (read)",
        "S16",
        drum("tetrahydrofuran", signs=with_signs(Sign.CRYSTALS_AT_CLOSURE)),
        {"signs": with_signs()},
    ),
    Situation(
        "crystals on caustic that only one source names",
        OSHA + ", lab packs",
        "S16",
        drum("sodium-hydroxide-50", "1H1", identified=False, signs=with_signs(Sign.CRYSTALS_AT_CLOSURE)),
        {"identified": True},
    ),
    Situation(
        "crystals on azide",
        "ordinary safety-sheet wording (recalled)",
        "S16",
        drum("sodium-azide", "1A2", signs=with_signs(Sign.CRYSTALS_AT_CLOSURE)),
        {"signs": with_signs(Sign.PITTED)},
    ),
    Situation(
        "organic peroxide near a heater",
        "EPA-600/2-80-076 group 30; 20 ft taken as near (ours)",
        "S20",
        drum("mek-peroxide-solution", "3H1", capacity_l=25, fill_l=25),
        {},
        around(heat_sources=(("unit heater", 1.0),)),
        {"heat_sources": (("unit heater", 6.2),)},
    ),
    Situation(
        "solvent near a heater is no stop",
        "common practice, no source",
        "S20",
        drum("mek-peroxide-solution", "3H1"),
        {"product": drum("methyl-ethyl-ketone").product},
        around(heat_sources=(("unit heater", 1.0),)),
        {"heat_sources": (("unit heater", 1.0),)},
    ),
    Situation(
        "monomer past its inhibitor date",
        "university peroxide-former lists, class C (read)",
        "S25",
        MONOMER,
        {"inhibitor_until": date(2026, 6, 30)},
    ),
    Situation(
        "monomer on the last day of its inhibitor",
        "university peroxide-former lists, class C (read)",
        "S25",
        MONOMER,
        {"inhibitor_until": AS_OF},
    ),
    Situation(
        "monomer without a date",
        "unknown never counts as safe (house rule)",
        "S26",
        drum("styrene-stabilised"),
        {"inhibitor_until": date(2026, 6, 30)},
    ),
    Situation(
        "toluene needs no inhibitor date",
        "common practice, no source",
        "S26",
        drum("styrene-stabilised"),
        {"product": drum("toluene").product},
    ),
    Situation(
        "isocyanate with its bung missing",
        "EPA-600/2-80-076 pair 18-106 (read)",
        "S28",
        drum("toluene-diisocyanate", signs=with_signs(Sign.MISSING_BUNG)),
        {"signs": with_signs()},
    ),
    Situation(
        "peroxide with an open funnel",
        "practice: do not seal in a gas-maker",
        "S28",
        drum("hydrogen-peroxide-35", "1H1", signs=with_signs(Sign.OPEN_FUNNEL)),
        {"product": drum("ethylene-glycol").product},
    ),
    Situation(
        "water reaches a water-reactive solid",
        "ordinary safety-sheet wording (recalled)",
        "S29",
        drum("sodium-hydrosulphite", "1A2"),
        {},
        around(wetted=True),
        {"wetted": False},
    ),
    Situation(
        "bulging neighbour",
        "WAC 296-843-18010(4); " + OSHA,
        "S30",
        drum(),
        {},
        around(bulging_nearby=True),
        {"bulging_nearby": False},
    ),
    Situation(
        "not identified",
        OSHA + "(1)(iv)",
        "S40",
        drum("unidentified", label=LabelState.NONE, label_read=False, identified=False),
        {"product": drum().product, "label_read": True, "label": LabelState.LEGIBLE},
    ),
    Situation(
        "a name that no source bears out",
        OSHA + "(1)(iv)",
        "S40",
        drum(label=LabelState.NONE, label_read=False, identified=False),
        {"label_read": True, "label": LabelState.LEGIBLE},
    ),
    Situation(
        "label contradicts content",
        "NIOSH/OSHA/USCG/EPA manual, drums (read in a reproduction)",
        "S41",
        drum(label=LabelState.CONTRADICTS_CONTENT),
        {"label": LabelState.LEGIBLE},
    ),
    Situation(
        "painted-over label",
        "NIOSH/OSHA/USCG/EPA manual, drums (read in a reproduction)",
        "S41",
        drum(label=LabelState.PAINTED_OVER, identified=False),
        {"identified": True},
    ),
    Situation(
        "drum type does not suit the name",
        "fire service training notes: drum type as a clue (read)",
        "S42",
        drum("nitric-acid-68", "1A1", identified=False, signs=with_signs(Sign.TYPE_MISMATCH)),
        {"identified": True},
    ),
    Situation(
        "unidentified neighbour at 0.40 m",
        OSHA + "(1)(iv); nearness ours",
        "S50",
        drum("phosphoric-acid-75", "1H1"),
        {},
        around(unidentified=(("B30-3", 0.40),)),
        {"unidentified": ()},
    ),
    Situation(
        "unstable stack", OSHA + "(1)", "S55", drum(), {}, around(stack_unstable=True), {"stack_unstable": False}
    ),
    Situation(
        "leaning stack",
        OSHA + "(1)",
        "S55",
        drum(signs=with_signs(Sign.LEANING_STACK)),
        {"signs": with_signs(Sign.WALL_DENT)},
    ),
    Situation(
        "stack not inspected",
        OSHA + "(1)",
        "S60",
        drum(),
        {},
        around(stack_not_inspected=True),
        {"stack_not_inspected": False},
    ),
    Situation(
        "drum that nobody has seen", OSHA + "(1)", "S60", drum(sighting=Sighting.REPORTED), {"sighting": Sighting.SEEN}
    ),
    Situation(
        "organic peroxide whose temperature nobody knows",
        "issue's hard rule; safety-sheet wording (recalled)",
        "S26",
        drum("mek-peroxide-solution", "3H1"),
        {"product": drum("methyl-ethyl-ketone").product},
    ),
    Situation(
        "toxic by inhalation, no vapour suits on record",
        "29 CFR 1910.120 App. B (recalled)",
        "S45",
        drum("toluene-diisocyanate"),
        {},
        around(vapour_suits=False),
        {"vapour_suits": True},
    ),
    Situation(
        "no back-up crew on record",
        "29 CFR 1910.120(q)(3)(v) to (vi) (recalled)",
        "S70",
        drum(),
        {},
        around(backup_crew=YesNoUnknown.UNKNOWN),
        {"backup_crew": YesNoUnknown.YES},
    ),
    Situation(
        "wall too weak to squeeze",
        OSHA,
        "S65",
        drum(signs=with_signs(Sign.HEAVY_RUST)),
        {"signs": with_signs(Sign.CHIME_RUST)},
    ),
]


def rules(found: DrumFact, surroundings: Surroundings) -> list[str]:
    return [line.cite.rule for line in stop_lines(found, surroundings)]


@pytest.mark.parametrize("case", SITUATIONS, ids=lambda case: case.title)
def test_situation_is_stopped_and_its_twin_is_not(case: Situation) -> None:
    twin, twin_around = replace(case.drum, **case.twin), replace(case.around, **case.twin_around)
    assert case.rule in rules(case.drum, case.around)
    assert case.rule not in rules(twin, twin_around)


@pytest.mark.parametrize("case", SITUATIONS, ids=lambda case: case.title)
def test_stopped_drum_gets_no_method(case: Situation) -> None:
    lines = stop_lines(case.drum, case.around)
    assert method_tables([case.drum], {case.drum.id: lines}) == ()


def test_every_rule_has_a_situation() -> None:
    assert {case.rule for case in SITUATIONS} == {rule.cite.rule for rule in stop_rules()}


def test_quiet_drum_has_no_stop_line() -> None:
    assert stop_lines(drum(), around()) == ()


@pytest.mark.parametrize(
    "harmless",
    [
        Sign.ODOUR_REPORTED,
        Sign.LEAKING,
        Sign.WET_RING,
        Sign.PITTED,
        Sign.CHIME_RUST,
        Sign.CHIME_DENT,
        Sign.WALL_DENT,
        Sign.PATCHED,
    ],
)
def test_signs_that_call_for_care_but_not_for_a_stop(harmless: Sign) -> None:
    assert stop_lines(drum(signs=with_signs(harmless)), around()) == ()


@pytest.mark.parametrize("case", SITUATIONS, ids=lambda case: case.title)
def test_line_names_the_drum_and_says_what_to_do_instead(case: Situation) -> None:
    for line in stop_lines(case.drum, case.around):
        assert case.drum.name in line.sentence
        assert line.because.endswith(".")
        assert line.instead.endswith(".")
        assert line.cite.source
        assert "{" not in line.sentence + line.because + line.instead


def test_lines_come_worst_first() -> None:
    lines = stop_lines(drum("unidentified", signs=with_signs(Sign.BULGING, Sign.HEAVY_RUST)), around())
    assert [line.weight for line in lines] == sorted(line.weight for line in lines)
    assert lines[0].cite.rule == "S10"


def test_nearest_neighbour_and_travel_time_are_named() -> None:
    surroundings = around(unidentified=(("B30-4", 1.2), ("B30-3", 0.4)), technicians_min=None)
    (line,) = stop_lines(drum(), surroundings)
    assert "B30-3, 0.40 m and 1 more" in line.sentence
    assert "travel time not on record" in line.instead


def test_bulging_drum_is_not_touched_at_all() -> None:
    (line,) = stop_lines(drum("acetone", signs=with_signs(Sign.BULGING)), around())
    for word in ("plug", "patch", "moving", "overpack"):
        assert f"no {word}" in line.sentence
    assert "Withdraw" in line.instead


def test_crystals_ask_for_no_radio_and_no_impact() -> None:
    (line,) = stop_lines(drum("tetrahydrofuran", signs=with_signs(Sign.CRYSTALS_AT_CLOSURE)), around())
    assert "shock-sensitive" in line.because
    assert "no radio" in line.instead


@pytest.mark.parametrize("when", ["", "sgin=bulging", "sign=bulging & wall=weak"])
def test_condition_that_cannot_be_read_is_refused(when: str) -> None:
    with pytest.raises(ValueError, match=r"blank|is not a term"):
        parse(when)


def test_product_in_doubt_has_every_trait_a_rule_asks_for() -> None:
    near_heat = around(heat_sources=(("steam pipe", 2.0),))
    assert "S20" not in rules(drum("toluene"), near_heat)
    assert "S20" in rules(drum("unidentified"), near_heat)
    assert "S20" in rules(drum("toluene", label=LabelState.CONTRADICTS_CONTENT), near_heat)
