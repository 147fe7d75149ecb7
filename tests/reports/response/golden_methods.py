"""Golden advice on methods: drums written by hand, each with a near-miss twin for which the advice is the other one.

Each says which published source it rests on, or that it is common practice of which no source was opened. *Read* and
*recalled* say how we know the source. Nothing here is worked out from the code.
"""

from dataclasses import dataclass, replace
from typing import Any

from reports.facts import DrumFact
from survey.vocabulary import BreachKind, Closure
from survey.vocabulary import ConditionSign as Sign
from tests.reports.response.situations import breach, drum

COMMON = "common practice, no published source opened"
DAMAGE_CONTROL = "US Army TM 55-1915-200 sections 8 to 10 and NAVEDTRA 14057 chapter 8 (read)"
EPA = "EPA-600/2-80-076 pairs 2-101, 104-101 and 30-101 (read)"
OSHA = "29 CFR 1910.120(j) (read in copies; rolling by hand recalled)"
OURS = "; the limit is ours"

CAUTION = "caution"


@dataclass(frozen=True, slots=True)
class GoldenMethod:
    """A drum, where to look in its method table, what it says there, and what the twin's says instead.

    `row` is a word of the row's name, or `caution` for what is the same for every row. `holds` stands in the drum's
    text and not in the twin's, `instead` the other way round; empty where the twin merely lacks it. `leak_control` says
    whether it is a line of drum leak control as the trade teaches it, rather than a rule of our own.
    """

    title: str
    basis: str
    drum: DrumFact
    row: str
    holds: str
    twin: dict[str, Any]
    instead: str = ""
    beside: tuple[DrumFact, ...] = ()
    twin_beside: tuple[DrumFact, ...] = ()
    leak_control: bool = True


def signs(*found: Sign) -> dict[str, Any]:
    return {"signs": frozenset(found)}


def hole(kind: BreachKind, size_mm: float | None = None, length_mm: float | None = None) -> dict[str, Any]:
    return {"breaches": (breach(kind, size_mm, length_mm),)}


PUNCTURE, PINHOLE = hole(BreachKind.PUNCTURE, 12), hole(BreachKind.PINHOLE, 2)
TEAR, WEEP = hole(BreachKind.TEAR, length_mm=60), hole(BreachKind.BUNG_WEEP)
CRACK, CHIME = hole(BreachKind.PLASTIC_CRACK, length_mm=60), hole(BreachKind.CHIME_OR_SEAM)
GLYCOL = drum("ethylene-glycol", **PUNCTURE)
PIERCED = drum("ethylene-glycol", **PINHOLE)
CAUSTIC = drum("sodium-hydroxide-50", "1H1", **TEAR)
OIL = drum("lubricating-oil")
SCREW, NO_SCREW = "Drive a sheet-metal screw", "self-tapping screw: not here"


def of(key: str) -> dict[str, Any]:
    return {"product": drum(key).product}


METHODS = (
    GoldenMethod(
        "no screw into a flammable",
        COMMON,
        drum("toluene", **PINHOLE),
        "pinhole",
        NO_SCREW,
        of("ethylene-glycol"),
        SCREW,
    ),
    GoldenMethod(
        "no screw into an oxidiser",
        COMMON,
        drum("hydrogen-peroxide-35", "1A1", stainless=True, **PINHOLE),
        "pinhole",
        NO_SCREW,
        of("ethylene-glycol"),
        SCREW,
    ),
    GoldenMethod(
        "no screw into a pitted wall", OSHA, replace(PIERCED, **signs(Sign.PITTED)), "pinhole", NO_SCREW, signs(), SCREW
    ),
    GoldenMethod(
        "no screw into a hole wider than it",
        COMMON + OURS,
        replace(PIERCED, **hole(BreachKind.PINHOLE, 8)),
        "pinhole",
        NO_SCREW,
        PINHOLE,
        SCREW,
    ),
    GoldenMethod(
        "no steel screw into hydrochloric acid",
        "EPA-600/2-80-076 pair 1-23, acid on metal (read)",
        drum("hydrochloric-acid-32", "1B1", **PINHOLE),
        "pinhole",
        NO_SCREW,
        of("ethylene-glycol"),
        SCREW,
    ),
    GoldenMethod(
        "no wood in nitric acid",
        EPA,
        drum("nitric-acid-68", "1A1", stainless=True, **PUNCTURE),
        "puncture",
        "(wood, cloth and other cellulose can catch fire in it)",
        of("ethylene-glycol"),
        "square-ended softwood plug",
    ),
    GoldenMethod(
        "no wood in peroxide",
        EPA,
        drum("hydrogen-peroxide-35", "1A1", stainless=True, **PUNCTURE),
        "puncture",
        "wooden plug: not here",
        of("ethylene-glycol"),
        "square-ended softwood plug",
    ),
    GoldenMethod(
        "no wood in isocyanate",
        COMMON,
        drum("toluene-diisocyanate", **TEAR),
        "slit",
        "wooden wedges: not here",
        of("hydraulic-oil"),
        "Tap in softwood wedges",
    ),
    GoldenMethod(
        "softwood and some rubbers break down in acid",
        COMMON,
        drum("phosphoric-acid-75", "1A1", stainless=True, **PUNCTURE),
        "puncture",
        "soft pine and some rubbers break down",
        of("ethylene-glycol"),
    ),
    GoldenMethod(
        "square-ended plug in thin plate",
        DAMAGE_CONTROL,
        GLYCOL,
        "puncture",
        "square-ended softwood plug wrapped in cloth",
        of("hydrogen-peroxide-35"),
        "wooden plug: not here",
    ),
    GoldenMethod(
        "plug up to about 75 mm",
        DAMAGE_CONTROL,
        replace(GLYCOL, **hole(BreachKind.PUNCTURE, 80)),
        "puncture",
        "the hole is too wide for a plug",
        hole(BreachKind.PUNCTURE, 75),
        "Press in a square-ended",
    ),
    GoldenMethod(
        "no wire brush on a flammable",
        COMMON,
        drum("toluene", **PUNCTURE),
        "puncture",
        "wire brush: not here, because a wire brush makes sparks",
        of("ethylene-glycol"),
        "Brush the metal bright",
    ),
    GoldenMethod(
        "no tight cap on a gas-maker",
        "do not seal in a gas-maker: " + COMMON,
        drum("hydrogen-peroxide-35", "1H1", **WEEP),
        "bung",
        "a tight cap: not here",
        of("ethylene-glycol"),
        "put a tight cap over it",
    ),
    GoldenMethod(
        "a gas-maker keeps its vent",
        "do not seal in a gas-maker: " + COMMON,
        drum("sodium-hypochlorite-12-5", "1H1"),
        CAUTION,
        "It can make gas: never seal it.",
        of("sodium-hydroxide-50"),
    ),
    GoldenMethod(
        "no epoxy where pressure may build",
        COMMON,
        drum("hydrogen-peroxide-35", "1H1", **CRACK),
        "crack",
        "epoxy putty: not here",
        of("ethylene-glycol"),
        "Pack what still weeps with epoxy putty",
    ),
    GoldenMethod(
        "no strap on brittle plastic",
        COMMON,
        replace(CAUSTIC, **signs(Sign.CHALKED_PLASTIC)),
        "slit",
        "strapped pad: not here",
        signs(),
        "Strap a pad over it",
    ),
    GoldenMethod(
        "no rolling of a patched drum",
        OSHA,
        replace(GLYCOL, **signs(Sign.PATCHED)),
        "puncture",
        "rolling it: not here",
        signs(),
        "Roll or turn it",
    ),
    GoldenMethod(
        "no rolling of a drum rusted at the chime",
        OSHA,
        replace(GLYCOL, **signs(Sign.CHIME_RUST)),
        "puncture",
        "rolling it: not here",
        signs(Sign.WALL_DENT),
        "Roll or turn it",
    ),
    GoldenMethod(
        "no rolling of a drum whose marks disagree",
        OSHA,
        replace(GLYCOL, **signs(Sign.MARKS_DISAGREE)),
        "puncture",
        "rolling it: not here",
        signs(),
        "Roll or turn it",
    ),
    GoldenMethod(
        "a full drum is not upended by hand",
        OSHA,
        GLYCOL,
        "puncture",
        "upending it by hand: not here",
        {"fill_l": 60.0},
        "It may be stood upright by hand",
    ),
    GoldenMethod(
        "a drum of unknown fill is not upended by hand",
        OSHA + OURS,
        replace(GLYCOL, fill_l=60.0, fill_known=False),
        "puncture",
        "upending it by hand: not here",
        {"fill_known": True},
        "It may be stood upright by hand",
        leak_control=False,
    ),
    GoldenMethod(
        "a corroded drum is not upended even when nearly empty",
        OSHA,
        replace(GLYCOL, fill_l=60.0, **signs(Sign.PITTED)),
        "puncture",
        "upending it by hand: not here",
        signs(),
        "It may be stood upright by hand",
    ),
    GoldenMethod(
        "the hole goes above the liquid, then chock",
        "transport-training note (read)",
        GLYCOL,
        "puncture",
        "so that the breach is above the liquid, then chock it",
        hole(BreachKind.CORRODED_AREA),
    ),
    GoldenMethod(
        "a drum leaking at its bottom is laid down and never stood back",
        COMMON,
        replace(GLYCOL, **hole(BreachKind.BOTTOM_HEAD)),
        "bottom head",
        "never stand it back on the leak",
        signs(Sign.PITTED),
        "laying it down: not here",
    ),
    GoldenMethod(
        "no forklift where vapour can burn",
        COMMON,
        drum("toluene"),
        CAUTION,
        "forklift: not here, because its motor can light the vapour of Toluene",
        of("lubricating-oil"),
        "A forklift with a drum attachment may turn it, never through the pool.",
    ),
    GoldenMethod(
        "no forklift at oil that stands with toluene",
        COMMON,
        OIL,
        CAUTION,
        "forklift: not here, because its motor can light the vapour of Toluene",
        {},
        "A forklift with a drum attachment may turn it",
        beside=(drum("toluene", name="X02-1"),),
    ),
    GoldenMethod(
        "no forklift at oil that stands with drums nobody identified",
        COMMON + "; unknown counts as flammable by our rule",
        OIL,
        CAUTION,
        "forklift: not here, because its motor can light the vapour of drums not identified",
        {},
        "A forklift with a drum attachment may turn it",
        beside=(drum("unidentified", name="X02-1", label_read=False, identified=False),),
        leak_control=False,
    ),
    GoldenMethod(
        "no forklift at oil beside emptied toluene drums",
        COMMON,
        OIL,
        CAUTION,
        "forklift: not here",
        {},
        "A forklift with a drum attachment may turn it",
        beside=(drum("toluene", name="X02-1", empty_uncleaned=True, fill_l=0.0),),
    ),
    GoldenMethod(
        "non-sparking tools on a flammable",
        "OSHA 3080 text (read); calling for help common practice",
        drum("acetone"),
        CAUTION,
        "Non-sparking tools only; without them stop and call for help.",
        of("lubricating-oil"),
    ),
    GoldenMethod(
        "non-sparking tools on what is highly volatile though it hardly burns",
        "OSHA 3080 text: highly volatile liquids (read); the vapour pressure that means that is ours",
        drum("dichloromethane"),
        CAUTION,
        "Non-sparking tools only",
        of("perchloroethylene"),
    ),
    GoldenMethod(
        "non-sparking tools on a metal drum of oxidiser",
        COMMON,
        drum("hydrogen-peroxide-35", "1A1", stainless=True),
        CAUTION,
        "Non-sparking tools only",
        {"container": drum("hydrogen-peroxide-35", "1H1").container},
    ),
    GoldenMethod(
        "a metal drum is bonded, a plastic one cannot be",
        "NFPA 77 (recalled)",
        drum("toluene"),
        CAUTION,
        "Bond and earth the drum",
        {"container": drum("toluene", "1H1").container},
        "A plastic drum cannot be earthed",
        leak_control=False,
    ),
    GoldenMethod(
        "wedges are never driven in plastic",
        COMMON,
        CAUSTIC,
        "slit",
        "driven plug or wedge: not here, because a driven wedge splits plastic further",
        {"container": drum("sodium-hydroxide-50", "1A1").container},
        "Tap in softwood wedges side by side (tear up to 150 mm, 6 in), never driven through.",
    ),
    GoldenMethod(
        "no screw in plastic",
        COMMON,
        drum("ethylene-glycol", "1H1", **PINHOLE),
        "in",
        "screw: not here, because a screw starts a crack in plastic",
        {"container": GLYCOL.container},
        SCREW,
    ),
    GoldenMethod(
        "rubber or polymer wedges are pressed in, by hand",
        COMMON,
        CAUSTIC,
        "slit",
        "Press in wedges of rubber or polymer side by side, by hand",
        hole(BreachKind.TEAR, length_mm=160),
        "the tear is too long for wedges",
    ),
    GoldenMethod(
        "no waxed plug with a corrosive", COMMON, CAUSTIC, "slit", "waxed plug: not here", of("ethylene-glycol")
    ),
    GoldenMethod(
        "no putty in a wide hole",
        COMMON,
        replace(GLYCOL, **hole(BreachKind.PUNCTURE, 90)),
        "puncture",
        "epoxy putty: not here",
        PUNCTURE,
        "Pack what still weeps with epoxy putty",
    ),
    GoldenMethod(
        "no putty in nitric acid",
        COMMON,
        drum("nitric-acid-68", "1A1", stainless=True, **PUNCTURE),
        "puncture",
        "epoxy putty: not here",
        of("ethylene-glycol"),
        "Pack what still weeps with epoxy putty",
    ),
    GoldenMethod(
        "a tear of unknown length is taken as the longest of its kind",
        COMMON + "; unknown taken as the worst is ours",
        replace(GLYCOL, **hole(BreachKind.TEAR)),
        "slit",
        "epoxy putty: not here, because the breach is too wide for epoxy",
        TEAR,
        "Pack what still weeps with epoxy putty",
        leak_control=False,
    ),
    GoldenMethod(
        "tape 50 mm beyond the wedge, epoxy over it",
        COMMON,
        replace(GLYCOL, **TEAR),
        "slit",
        "Tape over it at least 50 mm (2 in) beyond plug or wedge on all sides, with epoxy over the tape.",
        of("nitric-acid-68"),
        "tape under epoxy: not here",
    ),
    GoldenMethod(
        "wedges are cut flush for the salvage drum",
        COMMON,
        replace(GLYCOL, **TEAR),
        "slit",
        "cut plugs and wedges flush first",
        of("sodium-hydrosulphite"),
    ),
    GoldenMethod(
        "clamped patch up to about 75 mm",
        COMMON,
        replace(GLYCOL, **hole(BreachKind.PUNCTURE, 70)),
        "puncture",
        "Clamp a gasketed patch over it",
        hole(BreachKind.PUNCTURE, 80),
        "clamped patch: not here, because the hole is too wide",
    ),
    GoldenMethod(
        "the pad overlaps by 50 mm",
        DAMAGE_CONTROL,
        GLYCOL,
        "puncture",
        "at least 50 mm (2 in) beyond the breach on all sides",
        of("dichloromethane"),
        "strapped pad: not here, because",
    ),
    GoldenMethod(
        "nothing squeezes a wall that its product attacks",
        "grade of carbon steel against oxidising acid (read); not squeezing is ours",
        drum("nitric-acid-68", "1A1", **PUNCTURE),
        "puncture",
        "strapped pad: not here, because the product attacks this wall or may attack it",
        {"container": drum("nitric-acid-68", "1A1", stainless=True).container},
        leak_control=False,
    ),
    GoldenMethod(
        "no plug into a seam",
        COMMON,
        replace(GLYCOL, **CHIME),
        "chime or",
        "plug: not here, because a seam gives a plug no hole to hold in",
        PUNCTURE | {"name": "X01-1"},
    ),
    GoldenMethod(
        "a corroded area is not squeezed but pumped over",
        OSHA,
        replace(GLYCOL, **hole(BreachKind.CORRODED_AREA)),
        "now",
        "plug, clamp, strap or grab: not here",
        PUNCTURE,
        "Strap a pad over it",
    ),
    GoldenMethod(
        "a hole beside a corroded area is not strapped",
        OSHA,
        replace(GLYCOL, breaches=(breach(BreachKind.PUNCTURE, 12), breach(BreachKind.CORRODED_AREA))),
        "puncture",
        "strapped pad: not here, because another part of its wall is corroded",
        PUNCTURE,
        "Strap a pad over it",
    ),
    GoldenMethod(
        "a fibre drum stays dry and gets no plug",
        COMMON,
        drum("sodium-chlorate", "1G", **PUNCTURE),
        "now",
        "plug, strap or wet method: not here",
        {"container": drum("sodium-chlorate", "1A2").container},
        "Tape or strap a dry patch over it",
    ),
    GoldenMethod(
        "the ring is realigned and its bolt tightened clockwise",
        "NFPA 1072 (2017) 7.4.3.2 (read in skill sheets); the way is common practice",
        drum("ethylene-glycol", "1A2", **hole(BreachKind.RING_OR_LID)),
        "ring",
        "realign the ring clamp, tighten its bolt clockwise",
        signs(Sign.CHIME_DENT),
        "ring: not here, because a dented rim does not seat",
    ),
    GoldenMethod(
        "the bung is turned clockwise",
        "NFPA 1072 (2017) 7.4.3.2 (read in skill sheets); the way is common practice",
        drum("ethylene-glycol", **WEEP),
        "now",
        "Tighten the bung clockwise with a bung wrench.",
        hole(BreachKind.VALVE) | {"closure": Closure.VALVE},
        "Close the valve clockwise.",
    ),
    GoldenMethod(
        "the thread of a peroxide-former is looked at before it is turned",
        "university peroxide-former guides (read)",
        drum("tetrahydrofuran", **WEEP),
        "now",
        "crystals or a crust mean withdraw",
        of("toluene"),
    ),
    GoldenMethod(
        "small holes are not forgotten beside the big one",
        DAMAGE_CONTROL,
        GLYCOL,
        CAUTION,
        "Look over the whole drum and list every breach before working on one.",
        of("sodium-chlorate"),
    ),
    GoldenMethod(
        "a gasket that the product dissolves is not named",
        "maker's class chart for elastomers (read)",
        drum("acetone", **WEEP),
        "now",
        "EPDM gasket",
        of("toluene"),
        "nitrile gasket",
    ),
    GoldenMethod(
        "what no chart knows gets no gasket",
        "unknown is never a permission (ours)",
        drum("acetonitrile", **WEEP),
        "now",
        "new gasket: not here, because nothing on record says what stands up to Acetonitrile",
        of("acetone"),
        "Renew its gasket.",
        leak_control=False,
    ),
)
