"""Golden advice on stop rules: situations written by hand, each with a near-miss twin that flips the answer.

Each says which published source it rests on, or that it is common practice of which no source was opened. *Read* and
*recalled* say how we know the source. Nothing here is worked out from the code.
"""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from reports.facts import DrumFact
from reports.response.conditions import Surroundings
from survey.vocabulary import ConditionSign as Sign
from survey.vocabulary import LabelState, Sighting, YesNoUnknown
from tests.reports.response.situations import AS_OF, around, drum


@dataclass(frozen=True, slots=True)
class GoldenStop:
    """A drum in its surroundings, the rule that stops it, and what its near-miss twin changes.

    `basis` names the published source it rests on, or says that it is common practice; `leak_control` whether it is one
    of the hard stops of drum leak control as the trade teaches it, rather than a rule of our own. `twin_stops` are the
    rules that still stop the twin: for most none, so that it gets a method.
    """

    title: str
    basis: str
    rule: str
    drum: DrumFact
    twin: dict[str, Any]
    around: Surroundings = field(default_factory=around)
    twin_around: dict[str, Any] = field(default_factory=dict)
    leak_control: bool = True
    twin_stops: tuple[str, ...] = ()


def with_signs(*signs: Sign) -> frozenset[Sign]:
    return frozenset(signs)


COMMON = "common practice, no published source opened"
ARMY = "US Army risk management article on bulging drums (read)"
OSHA = "29 CFR 1910.120(j) (read in copies)"
MONOMER = drum("styrene-stabilised", inhibitor_until=date(2026, 3, 31))
STOPS = (
    GoldenStop(
        "bulging",
        "WAC 296-843-18010(4); " + OSHA,
        "S10",
        drum("acetone", signs=with_signs(Sign.BULGING)),
        {"signs": with_signs(Sign.WALL_DENT)},
    ),
    GoldenStop("pinging", ARMY, "S11", drum(signs=with_signs(Sign.PINGING)), {"signs": with_signs(Sign.WET_RING)}),
    GoldenStop(
        "hissing",
        COMMON,
        "S11",
        drum(signs=with_signs(Sign.HISSING)),
        {"signs": with_signs(Sign.ODOUR_REPORTED)},
    ),
    GoldenStop(
        "venting",
        COMMON,
        "S11",
        drum(signs=with_signs(Sign.VENTING)),
        {"signs": with_signs(Sign.LEAKING)},
    ),
    GoldenStop("hot", ARMY, "S12", drum(signs=with_signs(Sign.HOT)), {"signs": with_signs(Sign.CHIME_RUST)}),
    GoldenStop(
        "frost",
        COMMON,
        "S13",
        drum(signs=with_signs(Sign.FROST)),
        {"signs": with_signs(Sign.PITTED)},
    ),
    GoldenStop(
        "vapour seen",
        "29 CFR 1910.120 App. B (read in copies)",
        "S14",
        drum(signs=with_signs(Sign.VAPOUR)),
        {"signs": with_signs(Sign.ODOUR_REPORTED)},
    ),
    GoldenStop(
        "exposed to fire",
        COMMON,
        "S05",
        drum(signs=with_signs(Sign.FIRE_EXPOSED)),
        {"signs": with_signs(Sign.CHIME_DENT)},
    ),
    GoldenStop(
        "head drawn in",
        COMMON,
        "S35",
        drum(signs=with_signs(Sign.DISHED_HEAD)),
        {"signs": with_signs(Sign.WALL_DENT)},
    ),
    GoldenStop(
        "crystals on a peroxide-former",
        OSHA + ", lab packs; university guides (read)",
        "S16",
        drum("tetrahydrofuran", signs=with_signs(Sign.CRYSTALS_AT_CLOSURE)),
        {"signs": with_signs()},
    ),
    GoldenStop(
        "crystals on caustic that only one source names",
        OSHA + ", lab packs",
        "S16",
        drum("sodium-hydroxide-50", "1H1", identified=False, signs=with_signs(Sign.CRYSTALS_AT_CLOSURE)),
        {"identified": True},
    ),
    GoldenStop(
        "crystals on azide",
        "ordinary safety-sheet wording (recalled)",
        "S16",
        drum("sodium-azide", "1A2", signs=with_signs(Sign.CRYSTALS_AT_CLOSURE)),
        {"signs": with_signs(Sign.PITTED)},
    ),
    GoldenStop(
        "organic peroxide near a heater",
        "EPA-600/2-80-076 group 30; 20 ft taken as near (ours)",
        "S20",
        drum("mek-peroxide-solution", "3H1", capacity_l=25, fill_l=25),
        {},
        around(heat_sources=(("unit heater", 1.0),)),
        {"heat_sources": (("unit heater", 6.2),)},
        twin_stops=("S26",),
    ),
    GoldenStop(
        "solvent near a heater is no stop",
        COMMON,
        "S20",
        drum("mek-peroxide-solution", "3H1"),
        {"product": drum("methyl-ethyl-ketone").product},
        around(heat_sources=(("unit heater", 1.0),)),
        {"heat_sources": (("unit heater", 1.0),)},
    ),
    GoldenStop(
        "monomer past its inhibitor date",
        "university peroxide-former lists, class C (read)",
        "S25",
        MONOMER,
        {"inhibitor_until": date(2026, 6, 30)},
    ),
    GoldenStop(
        "monomer on the last day of its inhibitor",
        "university peroxide-former lists, class C (read)",
        "S25",
        MONOMER,
        {"inhibitor_until": AS_OF},
    ),
    GoldenStop(
        "monomer without a date",
        "unknown never counts as safe (house rule)",
        "S26",
        drum("styrene-stabilised"),
        {"inhibitor_until": date(2026, 6, 30)},
    ),
    GoldenStop(
        "toluene needs no inhibitor date",
        COMMON,
        "S26",
        drum("styrene-stabilised"),
        {"product": drum("toluene").product},
    ),
    GoldenStop(
        "isocyanate with its bung missing",
        "EPA-600/2-80-076 pair 18-106 (read)",
        "S28",
        drum("toluene-diisocyanate", signs=with_signs(Sign.MISSING_BUNG)),
        {"signs": with_signs()},
    ),
    GoldenStop(
        "peroxide with an open funnel",
        "do not seal in a gas-maker: common practice, no published source opened",
        "S28",
        drum("hydrogen-peroxide-35", "1H1", signs=with_signs(Sign.OPEN_FUNNEL)),
        {"product": drum("ethylene-glycol").product},
    ),
    GoldenStop(
        "water reaches a water-reactive solid",
        "ordinary safety-sheet wording (recalled)",
        "S29",
        drum("sodium-hydrosulphite", "1A2"),
        {},
        around(wetted=True),
        {"wetted": False},
        leak_control=False,
    ),
    GoldenStop(
        "bulging neighbour",
        "WAC 296-843-18010(4); " + OSHA,
        "S30",
        drum(),
        {},
        around(bulging_nearby=True),
        {"bulging_nearby": False},
        leak_control=False,
    ),
    GoldenStop(
        "not identified",
        OSHA + "(1)(iv)",
        "S40",
        drum("unidentified", label=LabelState.NONE, label_read=False, identified=False),
        {"product": drum().product, "label_read": True, "label": LabelState.LEGIBLE},
    ),
    GoldenStop(
        "a name that no source bears out",
        OSHA + "(1)(iv)",
        "S40",
        drum(label=LabelState.NONE, label_read=False, identified=False),
        {"label_read": True, "label": LabelState.LEGIBLE},
    ),
    GoldenStop(
        "label contradicts content",
        "NIOSH/OSHA/USCG/EPA manual, drums (read in a reproduction)",
        "S41",
        drum(label=LabelState.CONTRADICTS_CONTENT),
        {"label": LabelState.LEGIBLE},
    ),
    GoldenStop(
        "painted-over label",
        "NIOSH/OSHA/USCG/EPA manual, drums (read in a reproduction)",
        "S41",
        drum(label=LabelState.PAINTED_OVER, identified=False),
        {"identified": True},
    ),
    GoldenStop(
        "drum type does not suit the name",
        "fire service training notes: drum type as a clue (read)",
        "S42",
        drum("nitric-acid-68", "1A1", identified=False, signs=with_signs(Sign.TYPE_MISMATCH)),
        {"identified": True},
    ),
    GoldenStop(
        "unidentified neighbour at 0.40 m",
        OSHA + "(1)(iv); nearness ours",
        "S50",
        drum("phosphoric-acid-75", "1H1"),
        {},
        around(unidentified=(("B30-3", 0.40),)),
        {"unidentified": ()},
    ),
    GoldenStop(
        "unstable stack", OSHA + "(1)", "S55", drum(), {}, around(stack_unstable=True), {"stack_unstable": False}
    ),
    GoldenStop(
        "leaning stack",
        OSHA + "(1)",
        "S55",
        drum(signs=with_signs(Sign.LEANING_STACK)),
        {"signs": with_signs(Sign.WALL_DENT)},
    ),
    GoldenStop(
        "stack not inspected",
        OSHA + "(1)",
        "S60",
        drum(),
        {},
        around(stack_not_inspected=True),
        {"stack_not_inspected": False},
    ),
    GoldenStop(
        "drum that nobody has seen", OSHA + "(1)", "S60", drum(sighting=Sighting.REPORTED), {"sighting": Sighting.SEEN}
    ),
    GoldenStop(
        "organic peroxide whose temperature nobody knows",
        "safety-sheet wording for organic peroxides (recalled); unknown taken as past is ours",
        "S26",
        drum("mek-peroxide-solution", "3H1"),
        {"product": drum("methyl-ethyl-ketone").product},
    ),
    GoldenStop(
        "toxic by inhalation, no vapour suits on record",
        "29 CFR 1910.120 App. B (recalled)",
        "S45",
        drum("toluene-diisocyanate"),
        {},
        around(vapour_suits=False),
        {"vapour_suits": True},
    ),
    GoldenStop(
        "no back-up crew on record",
        "29 CFR 1910.120(q)(3)(v) to (vi) (recalled)",
        "S70",
        drum(),
        {},
        around(backup_crew=YesNoUnknown.UNKNOWN),
        {"backup_crew": YesNoUnknown.YES},
    ),
    GoldenStop(
        "wall too weak to squeeze",
        OSHA,
        "S65",
        drum(signs=with_signs(Sign.HEAVY_RUST)),
        {"signs": with_signs(Sign.CHIME_RUST)},
    ),
    GoldenStop(
        "monomer found hot",
        ARMY,
        "S12",
        drum("styrene-stabilised", inhibitor_until=date(2026, 6, 30), signs=with_signs(Sign.HOT)),
        {"signs": with_signs()},
    ),
    GoldenStop(
        "hypochlorite that rain has got into",
        "do not seal in a gas-maker: common practice, no published source opened",
        "S28",
        drum("sodium-hypochlorite-12-5", "1H1"),
        {},
        around(wetted=True),
        {"wetted": False},
    ),
    GoldenStop(
        "crystals on an ether",
        OSHA + ", lab packs; university guides (read)",
        "S16",
        drum("diethyl-ether", signs=with_signs(Sign.CRYSTALS_AT_CLOSURE)),
        {"product": drum("toluene").product},
    ),
    GoldenStop(
        "no way out on record",
        COMMON,
        "S70",
        drum(),
        {},
        around(way_out=YesNoUnknown.NO),
        {"way_out": YesNoUnknown.YES},
    ),
    GoldenStop(
        "no decontamination on record",
        "29 CFR 1910.120(k) (recalled)",
        "S70",
        drum(),
        {},
        around(decontamination=YesNoUnknown.UNKNOWN),
        {"decontamination": YesNoUnknown.YES},
    ),
    GoldenStop(
        "hydrofluoric acid without vapour suits",
        "29 CFR 1910.120 App. B (recalled)",
        "S45",
        drum("hydrofluoric-acid", "1H1"),
        {"product": drum("phosphoric-acid-75").product},
        around(vapour_suits=False),
        {},
    ),
    GoldenStop(
        "two unidentified drums in its pool",
        OSHA + "(1)(iv); nearness ours",
        "S50",
        drum("sodium-hydroxide-50", "1H1"),
        {},
        around(unidentified=(("A09-1", 3.2), ("A09-2", 3.2))),
        {"unidentified": ()},
    ),
)
