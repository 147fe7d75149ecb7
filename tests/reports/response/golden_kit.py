"""Golden advice on overpacks, people and kit: written by hand, each with a near-miss twin for which it is the other.

Each says which published source it rests on, or that it is common practice of which no source was opened. *Read* and
*recalled* say how we know the source. Nothing here is worked out from the code.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from reports.facts import DrumFact, KitFact
from reports.response.absorbents import absorbent_conflict
from reports.response.decontamination import decontamination_methods
from reports.response.duties import duty_lines
from reports.response.kit import kit_lines, kit_material_conflict
from reports.response.monitoring import monitor_lines
from reports.response.notifications import Outlet, notification_lines
from reports.response.overpack_stock import overpack_rows
from reports.response.overpack_ways import Place, gear_on_record
from reports.response.overpacks import overpack_need
from reports.response.protective_equipment import ensemble
from survey.catalogue.product import Product
from survey.catalogue.products import catalogue
from survey.vocabulary import ConditionSign as Sign
from survey.vocabulary import DrainDestination, KitKind, Orientation, YesNoUnknown
from tests.reports.response.situations import AS_OF, drum, kit_item

COMMON = "common practice, no published source opened"
SALVAGE = "49 CFR 173.3(c) (read): compatible, at most 450 L, padded, no free liquid"
MAKER = "a drum maker's page (read): an 85 gal salvage drum takes a 55 gal drum"
NET = "49 CFR 178.504 and 178.509 (recalled): 400 kg net; 208 L of 1.84 is 383 kg, worked by hand"
GUIDE = "one university spill guide (read)"
APP_B = "29 CFR 1910.120 App. B (read in copies)"
OURS = "; the judgement is ours"


@dataclass(frozen=True, slots=True)
class GoldenKit:
    """What is asked of a case and of its near-miss twin, and what each answer says that the other does not.

    `field_practice` says whether it is a line of drum leak control or of spill and drain tactics as the trade teaches
    it, rather than a rule of our own.
    """

    title: str
    basis: str
    ask: Callable[[Any], str]
    case: Any
    says: str
    twin: Any
    instead: str
    field_practice: bool = True


def of(key: str) -> Product:
    return catalogue().by_key[key]


def overpack(found: DrumFact) -> str:
    need = overpack_need(found, AS_OF)
    into = f"{need.size_label} {need.material}{' vented' if need.vented else ''}" if need.possible else "none planned"
    return f"{into}; {need.handling}; {need.remark}"


OPEN_FLOOR = Place(room_m=6.0, stacked=False)
WITH_ROTATOR = replace(OPEN_FLOOR, gear=gear_on_record([kit_item(KitKind.TOOL, "Drum rotator on forks")]))
WITH_HOIST = replace(OPEN_FLOOR, gear=gear_on_record([kit_item(KitKind.TOOL, "Drum hoist, 500 kg")]))


def way(case: tuple[DrumFact, Place]) -> str:
    found, place = case
    open_ways = [way.name for way in overpack_need(found, AS_OF, place=place).ways if not way.refused]
    return f"{open_ways[0]} only" if len(open_ways) == 1 else "; ".join(open_ways) or "no way in"


def absorbent(case: tuple[str, str]) -> str:
    name, key = case
    return absorbent_conflict(kit_item(KitKind.ABSORBENT, name), of(key)) or "allowed"


def plug(case: tuple[str, str]) -> str:
    material, key = case
    return kit_material_conflict(kit_item(KitKind.PLUG, "Plug", material), of(key)) or "allowed"


def worn(keys: tuple[str, ...]) -> str:
    found = ensemble([of(key) for key in keys])
    return f"level {found.level} for {found.driver}. {found.caution}"


def cleaned(key: str) -> str:
    return " ".join(f"{line.text} never {line.never}" for line in decontamination_methods([of(key)]))


def measured(key: str) -> str:
    first, *_ = monitor_lines([of(key)])
    return f"first {first.monitor}, leave {first.leave}"


def tasks(case: tuple[str, bool]) -> str:
    key, stopped = case
    found = duty_lines([of(key)], drains=["drain D1"], stopped=stopped, free=not stopped)
    return " ".join(f"{line.who}: {line.text}" for line in found)


def told(case: tuple[DrainDestination, bool, str]) -> str:
    goal, proven, key = case
    mixing = (of(key).name,) if key in ("acetone", "isopropanol") else ()
    found = notification_lines([Outlet("D1", goal, proven, mixing)], [drum(key)], ())
    return " ".join(f"{line.who}: {line.why}" for line in found if "drain D1" in line.why.replace("Drain", "drain"))


def reported(found: DrumFact) -> str:
    lines = notification_lines([], [found], ())
    return " ".join(f"{line.why} {line.when}" for line in lines if "Response Center" in line.who)


def held(case: tuple[tuple[KitFact, ...], DrumFact, str]) -> str:
    kit, found, word = case
    rows = overpack_rows([overpack_need(found, AS_OF)], kit)
    lines = kit_lines(
        kit, drains_to_cover=1, products=[found.product], overpacks=rows, largest_l={found.product.key: found.fill_l}
    )
    return next(f"missing {line.missing}" for line in lines if word in line.item)


def pallet(count: int) -> str:
    needs = [overpack_need(drum("toluene", name=f"A01-{number}"), AS_OF) for number in range(1, count + 1)]
    (row,) = overpack_rows(needs, [])
    return f"needed {row.needed}"


LYING: dict[str, Any] = {"orientation": Orientation.LYING}
SAND = kit_item(KitKind.ABSORBENT, "Sand, bags", quantity=4)
POLY_95 = kit_item(KitKind.SALVAGE_DRUM, "95 gal", "HDPE", capacity_l=360, vented=YesNoUnknown.YES)

SITUATIONS = (
    GoldenKit(
        "a 55 gal drum goes into an 85 gal salvage drum, an 85 gal drum into none",
        f"{MAKER}; {SALVAGE}",
        overpack,
        drum("toluene"),
        "85 gal (322 L) steel",
        drum("toluene", capacity_l=322, fill_l=300),
        "none planned",
    ),
    GoldenKit(
        "a plastic drum goes by geometry into a 95 gal one, a jerrican into a 30 gal one",
        "trade sizes (recalled)",
        overpack,
        drum("sodium-hydroxide-50", "1H1"),
        "95 gal (360 L) poly",
        drum("sodium-hydroxide-50", "3H1", capacity_l=25, fill_l=25),
        "30 gal (114 L) poly",
    ),
    GoldenKit(
        "a swollen drum goes into none, a dented one does",
        "29 CFR 1910.120(j)(1); WAC 296-843-18010(4) (read)",
        overpack,
        drum("acetone", signs=frozenset({Sign.BULGING})),
        "none planned",
        drum("acetone", signs=frozenset({Sign.WALL_DENT})),
        "85 gal (322 L) steel",
    ),
    GoldenKit(
        "hydrofluoric acid into vented poly, never steel; hydrochloric acid into poly without a vent",
        "ordinary safety-sheet wording (recalled); acid on calcium carbonate makes carbon dioxide" + OURS,
        overpack,
        drum("hydrofluoric-acid", "1H1"),
        "poly vented",
        drum("hydrochloric-acid-32", "1H1"),
        "poly; ",
    ),
    GoldenKit(
        "nitric acid never into carbon steel, whatever its own drum is of",
        "EPA-600/2-80-076 pair 2-23 (read); 49 CFR 173.158(b) (read): stainless drums",
        overpack,
        drum("nitric-acid-68", "1A1", stainless=True),
        "Never carbon steel",
        drum("acetone", "1A1", stainless=True),
        "85 gal (322 L) steel",
    ),
    GoldenKit(
        "a full drum of strong sulphuric acid is too heavy for a salvage drum, one of 180 L is not",
        NET,
        overpack,
        drum("sulphuric-acid-93-98", "1H1"),
        "pump at least",
        drum("sulphuric-acid-93-98", "1H1", fill_l=180.0),
        "95 gal (360 L) poly vented",
    ),
    GoldenKit(
        "an isocyanate that stood open is not closed up, one that did not goes into a vented drum",
        "EPA-600/2-80-076 pair 18-106 (read): heat and gas with water",
        overpack,
        drum("toluene-diisocyanate", signs=frozenset({Sign.MISSING_BUNG})),
        "none planned",
        drum("toluene-diisocyanate", signs=frozenset({Sign.LEAKING})),
        "steel vented",
    ),
    GoldenKit(
        "a monomer past its inhibitor date into no sealed overpack, one within it into a vented one",
        "university peroxide-former lists, class C (read)",
        overpack,
        drum("styrene-stabilised", inhibitor_until=date(2026, 1, 31)),
        "none planned",
        drum("styrene-stabilised", inhibitor_until=date(2026, 12, 31)),
        "85 gal (322 L) steel vented",
    ),
    GoldenKit(
        "a can of 6 kg may be lifted in, one of 18 kg may not",
        "NIOSH 94-110 (rev. 2021): equation and table 6 note 5 (gloves make the grip poor), read",
        overpack,
        drum("isopropanol", "3A1", capacity_l=10, fill_l=5),
        "one person may lift it in",
        drum("sodium-hydroxide-50", "3H1", capacity_l=12, fill_l=11),
        "not by hand",
    ),
    GoldenKit(
        "only a lying drum with a sound wall is rolled into a salvage drum",
        COMMON + "; roll only if wall and closure allow",
        way,
        (drum("toluene", **LYING), OPEN_FLOOR),
        "V-roll",
        (drum("toluene", **LYING, signs=frozenset({Sign.PITTED})), OPEN_FLOOR),
        "slide only",
    ),
    GoldenKit(
        "slip over and invert only for a drum on its head, so that none ends upside down",
        COMMON,
        way,
        (drum("toluene", orientation=Orientation.INVERTED), WITH_ROTATOR),
        "slip over and invert",
        (drum("toluene"), WITH_ROTATOR),
        "lid under",
    ),
    GoldenKit(
        "a drum of 330 kg is moved by machine only, one of 208 kg by people too",
        "NIOSH 94-110 covers no rolling, tipping or team lift (read); the 300 kg are our judgement",
        way,
        (drum("sodium-hydroxide-50", "1H1"), OPEN_FLOOR),
        "no way in",
        (drum("toluene"), OPEN_FLOOR),
        "lid under",
    ),
    GoldenKit(
        "a stacked drum is lifted, never rocked",
        COMMON,
        way,
        (drum("toluene"), replace(WITH_HOIST, stacked=True)),
        "hoist or drum lifter",
        (drum("toluene"), replace(OPEN_FLOOR, stacked=True)),
        "no way in",
    ),
    GoldenKit(
        "two drums of one pallet need two salvage drums",
        "29 CFR 1910.120(j)(1)(vii) (read): kept where spills may occur; the worst pallet is ours",
        pallet,
        2,
        "needed 2",
        1,
        "needed 1",
        field_practice=False,
    ),
    GoldenKit(
        "no sawdust on an oxidiser, vermiculite yes",
        f"EPA-600/2-80-076 pair 104-101 (read); {GUIDE}",
        absorbent,
        ("Sawdust", "hydrogen-peroxide-35"),
        "must not be used",
        ("Vermiculite", "hydrogen-peroxide-35"),
        "allowed",
    ),
    GoldenKit(
        "no paper on a nitrate, sand yes",
        "reports on the waste drum of 2014: an organic absorbent on a nitrate (read)",
        absorbent,
        ("Paper rolls", "ammonium-nitrate"),
        "must not be used",
        ("Sand", "ammonium-nitrate"),
        "allowed",
    ),
    GoldenKit(
        "no clay on hydrofluoric acid, calcium carbonate yes",
        f"{GUIDE}: only calcium carbonate or bicarbonate",
        absorbent,
        ("Clay granules", "hydrofluoric-acid"),
        "must not be used",
        ("Calcium carbonate", "hydrofluoric-acid"),
        "allowed",
    ),
    GoldenKit(
        "carbonate and not clay on an acid",
        f"{GUIDE}; other sources accept clay for some acids",
        absorbent,
        ("Clay granules", "hydrochloric-acid-32"),
        "must not be used",
        ("Soda ash", "hydrochloric-acid-32"),
        "allowed",
    ),
    GoldenKit(
        "no clay on an acid that oxidises either: every rule that takes it counts",
        GUIDE,
        absorbent,
        ("Clay granules", "nitric-acid-68"),
        "must not be used",
        ("Clay granules", "sodium-hypochlorite-12-5"),
        "allowed",
    ),
    GoldenKit(
        "a wooden plug is no kit for an oxidising acid, one of inert polymer is",
        "EPA-600/2-80-076 pair 2-101 (read): heat, fire and gas; grades of PTFE recalled",
        plug,
        ("softwood", "nitric-acid-68"),
        "wood against",
        ("PTFE", "nitric-acid-68"),
        "allowed",
    ),
    GoldenKit(
        "absorbent of no known capacity counts for nothing, with it by its own litres",
        "no litres per bag was read in any source; ASTM F726 (recalled) tests the item",
        held,
        ((SAND,), drum("toluene"), "absorbent"),
        "missing 208",
        ((replace(SAND, capacity_l=60.0),), drum("toluene"), "absorbent"),
        "missing 0",
    ),
    GoldenKit(
        "a salvage drum without a vent is missing where a vent is needed",
        "IMDG P501 (read): vented packagings for strong hydrogen peroxide",
        held,
        ((replace(POLY_95, vented=YesNoUnknown.NO),), drum("hydrogen-peroxide-35", "1H1"), "salvage drum"),
        "missing 1",
        ((POLY_95,), drum("hydrogen-peroxide-35", "1H1"), "salvage drum"),
        "missing 0",
    ),
    GoldenKit(
        "a vapour suit where nobody knows what it is, a splash suit for toluene",
        APP_B,
        worn,
        ("toluene", "unidentified"),
        "level A for not identified",
        ("toluene",),
        "level B for Toluene",
    ),
    GoldenKit(
        "chemical suits do not stand flash fire, said where something flashes",
        "29 CFR 1910.120 App. B (recalled)",
        worn,
        ("toluene",),
        "do not protect from flash fire",
        ("sodium-hydroxide-50",),
        "level B for Sodium hydroxide 50 %",
    ),
    GoldenKit(
        "brush dry what reacts with water, rinse what does not",
        "ordinary safety-sheet wording for water-reactive products (recalled)",
        cleaned,
        "sodium-hydrosulphite",
        "Brush or vacuum off dry first",
        "sodium-hydroxide-50",
        "Plenty of water, longer than for an acid",
    ),
    GoldenKit(
        "radiation is read first where nobody knows what it is",
        "NIOSH/OSHA/USCG/EPA guidance manual, chapter on drums (read): radiation, flammable, oxygen, toxic",
        measured,
        "unidentified",
        "first radiation, leave at 20",
        "toluene",
        "first flammable vapour, leave at 10 %",
    ),
    GoldenKit(
        "a heavy insoluble solvent: the dam overflows; a light one: its pipe lies low",
        COMMON,
        tasks,
        ("perchloroethylene", False),
        "a dam that overflows at the top",
        ("toluene", False),
        "a dam with its pipe low",
    ),
    GoldenKit(
        "technicians too leave a drum with a STOP line",
        "29 CFR 1910.120(q)(6)(iii) (read): technicians approach the release" + OURS,
        tasks,
        ("toluene", True),
        "technician level: Drums with a STOP line: only what that line says",
        ("toluene", False),
        "technician level: Drums without a STOP line, in this order",
        field_practice=False,
    ),
    GoldenKit(
        "what mixes with water passes an interceptor",
        COMMON,
        told,
        (DrainDestination.INTERCEPTOR, True, "acetone"),
        "(Acetone mixes with water)",
        (DrainDestination.INTERCEPTOR, True, "toluene"),
        "an interceptor holds only what floats.",
    ),
    GoldenKit(
        "a drain whose destination nobody knows counts as storm",
        "one city's code: a storm discharge is told at once (read); unknown taken as storm is ours",
        told,
        (DrainDestination.UNKNOWN, False, "toluene"),
        "water authority and intakes downstream",
        (DrainDestination.HOLDING_TANK, True, "toluene"),
        "shut the tank's outlet",
    ),
    GoldenKit(
        "the treatment works hears of the sanitary sewer, the environment agency of the storm drain",
        COMMON,
        told,
        (DrainDestination.SANITARY, True, "toluene"),
        "treatment works: Drain D1 (sanitary)",
        (DrainDestination.STORM, True, "toluene"),
        "environment agency: Drain D1 (storm)",
    ),
    GoldenKit(
        "a release equal to the reportable quantity is reported, one just below it is not yet",
        "40 CFR 302.6 (EPA's overview, read): equal to or exceeding; toluene 1,000 lb = 453.6 kg (recalled)",
        reported,
        drum("toluene", net_mass_kg=453.59237),
        "one drum reaches it",
        drum("toluene", net_mass_kg=453.5),
        "2 drums reach it",
    ),
    GoldenKit(
        "one drum of strong sulphuric acid stays below 1,000 lb, two are over it",
        "40 CFR 302.4 (recalled): 1,000 lb; 383 kg are 845 lb, worked by hand",
        reported,
        drum("sulphuric-acid-93-98"),
        "2 drums reach it",
        drum("nitric-acid-red-fuming", net_mass_kg=460.0),
        "one drum reaches it",
    ),
    GoldenKit(
        "oil is reported by its sheen, a product without a quantity on record until it is looked up",
        "40 CFR 110 (recalled); not known counts as reached is ours",
        reported,
        drum("hydraulic-oil"),
        "a sheen on any water",
        drum("isopropanol"),
        "counts as reached until somebody looks it up",
    ),
)
