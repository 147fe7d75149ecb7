"""What the paper says: complete, in both unit systems, with its age, and never a method beside a STOP line."""

import tomllib
from dataclasses import fields, is_dataclass, replace
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest

import reports
from reports.assessment import Distance, Span
from reports.preplan import PrePlan, preplan
from reports.preplan.fitting import FITS, height_pt, shortened
from reports.preplan.front import MAP_HEIGHTS_PT
from reports.preplan.plan import Basis
from reports.preplan.words import day_and_age, days_before, distance, drum_names, sentence, span
from reports.response.advice import Cite
from survey.catalogue.product import Mark
from survey.vocabulary import AccessKind, Availability, ContactRole
from tests.reports import extremes, sample


@pytest.fixture(scope="module", name="plan")
def _plan() -> PrePlan:
    return preplan(sample.assessment(), sample.facts())


def test_page_one_has_everything_a_crew_asks_for(plan: PrePlan) -> None:
    front = plan.front
    assert front.address == "14 Harrow Lane, Eastmere"
    assert [letter for letter, _ in front.sides] == ["A", "B", "C", "D"]
    assert front.ages == (
        ("Last walk", "20 Nov 2026, 5 days before"),
        ("Newest entry", "20 Nov 2026, 5 days before"),
        ("Oldest entry", "1 Mar 2024, 999 days before"),
    )
    assert front.shares == (
        ("30", "drums, 1 of them empty + 2 small"),
        ("100.0 %", "seen: 30"),
        ("90.0 %", "label read: 27"),
        ("20.0 %", "identified: 6"),
    )
    assert front.people == (("day 07:00-17:00", "6"), ("night 17:00-07:00", "not recorded"))
    assert dict(front.access)["Entrance"] == (
        "roller door: east side, from the yard, side D, 5.0 m (16.4 ft) wide, 4.5 m (14.8 ft) high"
    )
    assert dict(front.access)["Key box"] == "left of the gate, side A"
    resources = dict(front.resources)
    assert resources["Nearest water"] == "hydrant H12, 90 m (295 ft), 1,900 L/min (502 US gal/min)"
    assert resources["Fire department connection"] == "none recorded"
    assert resources["Shut-offs outside"] == "gas: cock in the yard wall. Inside only: electricity"
    assert resources["Out of order"] == "heat detection off for repair, until 15 Dec 2026"
    assert resources["First engine / technicians"] == "9 min / 70 min"
    assert front.stand_off == "50 m (164 ft) a bulging drum"
    assert front.stand_off_basis == Basis("stand-off", "Emergency Response Guidebook, guide 127", verify=True)
    assert front.call_by_day == ("555-0142 J. Marwood (operator)", "555-0177 Control room (sewer operator)")
    assert front.call_by_night == ("555-0177 Control room (sewer operator)",)
    assert front.maps


def test_drains_on_page_one_say_where_they_go_and_who_says_so(plan: PrePlan) -> None:
    by_name = {drain.name: drain for drain in plan.front.drains}
    assert by_name["D1"].goes_to == "storm, ditch 60 m south"
    assert by_name["D1"].proof == "operator says sanitary and drawing says storm"
    assert not by_name["D1"].proven
    assert by_name["D1"].kind == "gully, square G5"
    assert by_name["D1"].reached_by == "one drum reaches it from P04"
    assert by_name["D2"].proof == "proven by dye test"
    assert by_name["D3"].kind == "gully, not found"
    assert by_name["D3"].proof == ""


def test_stop_lines_of_one_wording_are_gathered_and_keep_their_order(plan: PrePlan) -> None:
    assert [line.drums for line in plan.stops] == ["P08-2", "P08-2", "P07-1, P07-2", "P03-1"]
    first = plan.stops[0]
    assert first.where == "South-east, square J8"
    assert first.sentence == "Do not touch, move, tighten, plug or overpack."
    assert first.instead == "Everybody out of its sight; watch it from outside with binoculars."
    assert not first.basis.verify
    assert plan.stops[1].basis.verify
    assert plan.front.stops == plan.stops


def test_a_stop_line_takes_the_drum_out_of_its_sentence_and_says_what_differs() -> None:
    lines = tuple(
        sample.stop(drum, f"{drum}: No work at it yet. One unknown stands beside it ({near}).", "b", "c", weight=1)
        for drum, near in (("P07-1", "P07-2, touching"), ("P07-2", "P07-1, touching"), ("P08-2", "P07-1, touching"))
    )
    plan = preplan(sample.assessment(stops=lines), sample.facts())
    assert len(plan.stops) == 1
    assert plan.stops[0].sentence == "No work at it yet. One unknown stands beside it."
    assert plan.stops[0].drums == "P07-1, P07-2, P08-2"
    assert plan.stops[0].details == "P07-1: P07-2, touching; P07-2, P08-2: P07-1, touching"
    assert plan.stops[0].where == "South-east, squares L8 and J8"


def test_no_method_is_worded_for_a_drum_with_a_stop_line() -> None:
    floor = sample.floor()
    centre = next(zone for zone in floor.zones if zone.name == "Centre")
    table = centre.methods[0]
    both = replace(centre, methods=(table, replace(table, product="hydrogen peroxide 35 %", drums=("P03-1",))))
    mixed = replace(centre, methods=(replace(table, drums=("P03-1", *table.drums)),))
    for zone in (both, mixed):
        zones = tuple(zone if each.name == "Centre" else each for each in floor.zones)
        plan = preplan(sample.assessment(floors=(replace(floor, zones=zones),)), sample.facts())
        part = next(each for each in plan.floors[0].zones if each.name == "Centre")
        assert [(sheet.title, sheet.drums) for sheet in part.methods] == [("toluene in steel", "P04-1 to P04-4")]
        assert {line.drums for line in part.stops} == {"P03-1"}


def test_methods_that_say_the_same_are_set_once_with_the_materials_of_each() -> None:
    floor = sample.floor()
    centre = next(zone for zone in floor.zones if zone.name == "Centre")
    table = centre.methods[0]
    xylenes = replace(
        table,
        product="xylenes",
        drums=("P05-1",),
        rows=tuple(replace(row, materials=("PTFE plug: good",)) for row in table.rows),
    )
    zone = replace(centre, methods=(table, xylenes))
    zones = tuple(zone if each.name == "Centre" else each for each in floor.zones)
    plan = preplan(sample.assessment(floors=(replace(floor, zones=zones),)), sample.facts())
    part = next(each for each in plan.floors[0].zones if each.name == "Centre")
    assert len(part.methods) == 1
    sheet = part.methods[0]
    assert sheet.title == "toluene and xylenes in steel"
    assert sheet.drums == "P04-1 to P04-4, P05-1"
    assert sheet.rows[0].materials == (
        "toluene: softwood wrapped in cloth and nitrile sheet",
        "xylenes: good: PTFE plug",
    )
    assert sheet.rows[0].present
    assert part.cautions == ("Bond and earth before any tool touches the drum.",)


def test_a_stock_row_sums_a_pallet_up(plan: PrePlan) -> None:
    part = next(zone for zone in plan.floors[0].zones if zone.name == "South-east")
    row = next(row for row in part.stock if row.pallet == "P07")
    assert (row.square, row.drums, row.volume) == ("L8", "2 + 1 empty", "416 L (110 US gal)")
    assert row.known == "3 / 2 / 0 of 3"
    assert row.stopped == "P07-1, P07-2"
    assert part.recorded == "20 Nov 2026, R. Oyelaran"
    raised = next(zone for zone in plan.floors[0].zones if zone.name == "North-east").stock[1]
    assert raised.square == "L2, 1.5 m (4.9 ft) up"


def test_disputed_readings_stand_together_with_the_one_acted_on(plan: PrePlan) -> None:
    part = next(zone for zone in plan.floors[0].zones if zone.name == "North-east")
    for dispute in (plan.disputes[0], part.disputes[0]):
        assert dispute.pallet == "P05"
        assert len(dispute.readings) == 2
        assert dispute.acted_on == "4 drums."


def test_a_drain_page_words_ranges_with_their_ends(plan: PrePlan) -> None:
    reach = plan.floors[0].drains[0].reaches[0]
    assert reach.verdict == "reaches"
    assert reach.gap == "1.7 ± 0.1 m (5.4 ± 0.3 ft)"
    assert reach.drum_distance == "2.1 m (6.8 ft) (nearest) to 2.9 m (9.6 ft) (farthest)"
    assert reach.critical_depth == "7.8 mm (0.31 in) (farthest) to 15.3 mm (0.60 in) (nearest)"
    assert reach.litres == "74 L (20 US gal) (thick film) to 133 L (35 US gal) (thin film)"
    assert reach.mixes == "does not mix"


def test_a_pair_is_a_sentence_with_its_distance_and_meeting(plan: PrePlan) -> None:
    chlorine, fire = plan.floors[0].pairs
    assert chlorine.sentence == (
        "P01 (hydrochloric acid 32 %) and P02 (sodium hypochlorite 12.5 %) together make chlorine."
    )
    assert chlorine.lethal
    assert chlorine.distance == "0.4 ± 0.1 m (1.3 ± 0.5 ft) apart; along the floor 0.40 m (1.3 ft)"
    assert chlorine.meeting == "liquids meet: pools overlap"
    assert fire.meeting == "liquids may meet: drain D1, 0 m apart by way of the drains"


def test_a_pair_that_is_not_certain_is_not_excluded() -> None:
    pair = replace(sample.PAIRS[0], certain=False, separation=None)
    plan = preplan(sample.assessment(floors=(sample.floor(pairs=(pair,)),)), sample.facts())
    worded = plan.floors[0].pairs[0]
    assert "it cannot be excluded that together they make chlorine" in worded.sentence
    assert worded.distance == "Distance not known"


def test_pairs_whose_places_are_not_known_are_said_once_for_all() -> None:
    known, other = sample.PAIRS[0], sample.PAIRS[0]
    blocks = tuple(replace(other, a=a, b=b, separation=None) for a, b in (("K1", "K2"), ("K1", "K3"), ("K2", "K3")))
    plan = preplan(sample.assessment(floors=(sample.floor(pairs=(known, *blocks)),)), sample.facts())
    first, second = plan.floors[0].pairs
    assert first.sentence.startswith(f"{known.a} ({known.product_a})")
    assert all(name in second.sentence for name in ("K1", "K2", "K3"))
    assert second.distance.startswith("Distance not known")
    assert second.lethal is known.lethal


def test_pairs_that_are_only_counted_are_said_with_the_worst_of_their_kind() -> None:
    pair = replace(sample.PAIRS[0], more=214, more_where=("drain D3",))
    plan = preplan(sample.assessment(floors=(sample.floor(pairs=(pair,)),)), sample.facts())
    (worded,) = plan.floors[0].pairs
    assert worded.meeting == (
        "liquids meet: pools overlap; 214 more pairs like it in these storage zones, which meet also: drain D3"
    )


def test_a_group_counts_what_is_left_of_all_its_kinds() -> None:
    blocks = tuple(
        replace(sample.PAIRS[0], a=a, b=b, separation=None, more=more)
        for a, b, more in (("K1", "K2", 3), ("K1", "K3", 1))
    )
    plan = preplan(sample.assessment(floors=(sample.floor(pairs=blocks),)), sample.facts())
    (worded,) = plan.floors[0].pairs
    assert "; 4 more pairs like it in these storage zones" in worded.meeting


def test_containment_rules_stand_side_by_side(plan: PrePlan) -> None:
    table = plan.floors[0].containment[0]
    assert table.columns == ("Bund K",)
    rows = {row.heading: row for row in table.rows}
    assert rows["Counts as"].cells == ("0.0 L (0.0 US gal)",)
    assert rows["Outlets"].cells == ("gully D1: destination not proven",)
    assert rows["Sprinkler water"].cells == ("2,391 L/min (632 US gal/min) reaches the lip in 1.6 min",)
    assert rows["110 % of the largest"].cells == ("229 L (60 US gal): not held",)
    assert rows["110 % of the largest"].bases[0].verify
    many = sample.floor(containment=sample.CONTAINMENT * 5)
    tables = preplan(sample.assessment(floors=(many,)), sample.facts()).floors[0].containment
    assert [len(each.columns) for each in tables] == [4, 1]


def test_findings_stand_under_their_kinds_with_running_numbers(plan: PrePlan) -> None:
    assert [group.kind for group in plan.findings][:2] == ["Condition now", "Lethal gas where liquids meet"]
    numbers = [finding.number for group in plan.findings for finding in group.findings]
    assert numbers == [1, 2, 3, 4, 5]
    first = plan.findings[0].findings[0]
    assert first.stop
    assert first.inputs == "gap: 0.40 m; film: 2.8 to 5 mm"
    assert plan.findings[3].findings[0].basis.verify


def test_sources_are_numbered_in_reading_order_and_cover_every_statement(plan: PrePlan) -> None:
    assert [each.number for each in plan.sources] == list(range(1, len(plan.sources) + 1))
    found: list[Basis] = []

    def collect(part: object) -> None:
        if isinstance(part, Basis):
            found.append(part)
        elif is_dataclass(part):
            for field in fields(part):
                collect(getattr(part, field.name))
        elif isinstance(part, tuple):
            for each in part:
                collect(each)

    collect(plan)
    assert found
    assert {each.source for each in found} == set(plan.source_numbers)
    assert all(each.rule in plan.sources[plan.source_numbers[each.source] - 1].rules for each in found)


def test_overpacks_and_kit_say_what_is_missing(plan: PrePlan) -> None:
    vented, steel = plan.overpacks
    assert (vented.what, vented.needed, vented.on_site, vented.missing) == (
        "322 L (85 gal), plastic, vented",
        "4",
        "0",
        "3",
    )
    assert vented.short
    assert not steel.short
    assert plan.kit[1].needed == "–"


def test_unknown_counts_are_said_and_never_left_blank() -> None:
    plan = preplan(*extremes.empty())
    assert plan.front.ages == (
        ("Last walk", "not recorded"),
        ("Newest entry", "not recorded"),
        ("Oldest entry", "not recorded"),
    )
    assert plan.front.shares[1][0] == "–"
    assert plan.front.people == (("all shifts", "not recorded"),)
    assert dict(plan.front.access) == {"Entrance": "none recorded", "Key box": "none recorded"}
    assert dict(plan.front.resources)["Nearest water"] == "none recorded"
    assert plan.edition.short_age == "no walk recorded"
    assert plan.front.maps == ()


def test_pallets_that_nobody_has_read_are_counted_beside_the_drums() -> None:
    known = replace(sample.assessment().coverage, unread_pallets=2)
    plan = preplan(sample.assessment(coverage=known, floors=()), sample.facts())
    assert plan.front.shares[0] == ("30", "drums, 1 of them empty + 2 small + 2 pallets not read, in no share")


def test_water_that_has_no_distance_is_not_given_one() -> None:
    supply = replace(sample.facts().water_supplies[0], distance_m=None, flow_l_min=None)
    plan = preplan(sample.assessment(), sample.facts(water_supplies=(supply,)))
    assert dict(plan.front.resources)["Nearest water"] == "hydrant H12, distance not recorded"


def test_the_nearest_water_is_chosen_by_distance() -> None:
    far = sample.facts().water_supplies[0]
    supplies = (far, replace(far, name="H13", distance_m=40.0), replace(far, name="H14", distance_m=None))
    plan = preplan(sample.assessment(), sample.facts(water_supplies=supplies))
    assert dict(plan.front.resources)["Nearest water"].startswith("hydrant H13, 40 m (131 ft)")


def test_an_impairment_that_is_over_leaves_page_one() -> None:
    over = replace(sample.facts().impairments[0], until=date(2026, 11, 24))
    today = replace(over, until=date(2026, 11, 25))
    headings = [
        dict(preplan(sample.assessment(), sample.facts(impairments=(each,))).front.resources) for each in (over, today)
    ]
    assert ["Out of order" in each for each in headings] == [False, True]


def test_callers_stand_in_the_order_of_who_knows_the_site() -> None:
    one = sample.facts().contacts[0]
    contacts = (
        replace(one, role=ContactRole.SEWER_OPERATOR, name="S", availability=Availability.DAY_AND_NIGHT),
        replace(one, role=ContactRole.GUARD, name="G", availability=Availability.NIGHT),
        replace(one, role=ContactRole.OPERATOR, name="O", availability=Availability.UNKNOWN),
    )
    front = preplan(sample.assessment(), sample.facts(contacts=contacts)).front
    assert [caller.split()[1] for caller in front.call_by_night] == ["O", "G", "S"]
    assert [caller.split()[1] for caller in front.call_by_day] == ["O", "S"]


def test_first_actions_say_who_from_where_and_when_to_leave_once(plan: PrePlan) -> None:
    assert [act.order for act in plan.actions] == [1, 2, 3, 4]
    assert plan.front.leave_when == "leave at any hiss, ping or vapour"
    assert [act.same_approach for act in plan.actions] == [False, True, True, True]
    assert plan.actions[1].instead_of == "cover on D2: in sight of P08-2"
    acts = sample.assessment().first_actions
    mixed = (acts[0], replace(acts[1], leave_when="at once"), *acts[2:])
    assert preplan(sample.assessment(first_actions=mixed), sample.facts()).front.leave_when == ""


def test_the_floor_on_page_one_is_that_of_the_worst_finding() -> None:
    judged, facts = extremes.two_floors()
    plan = preplan(judged, facts)
    assert (plan.front.map_title, plan.front.other_floors) == ("Hall", ("Loft",))
    worst = replace(judged.findings[0], floor="Loft")
    plan = preplan(replace(judged, findings=(worst, *judged.findings[1:])), facts)
    assert (plan.front.map_title, plan.front.other_floors) == ("Loft", ("Hall",))
    assert [bool(floor.map) for floor in plan.floors] == [True, False]


def test_maps_of_page_one_never_get_higher_and_a_smaller_one_saves_room(plan: PrePlan) -> None:
    heights = [height_pt(drawing) for drawing in plan.front.maps]
    assert len(heights) == len(MAP_HEIGHTS_PT) > max(fit.map for fit in FITS)
    for drawing, smaller in pairwise(plan.front.maps):
        assert smaller == drawing or height_pt(smaller) < height_pt(drawing)
    assert len(set(heights)) > 3


def test_assessment_and_facts_of_different_surveys_are_refused() -> None:
    with pytest.raises(ValueError, match="snapshot"):
        preplan(sample.assessment(), sample.facts(snapshot_sha256="f" * 64))
    with pytest.raises(ValueError, match="site"):
        preplan(sample.assessment(), sample.facts(id=sample.made_id("another")))


def test_a_key_box_without_a_place_is_not_worded_as_one() -> None:
    box = replace(
        next(each for each in sample.facts().access if each.kind is AccessKind.KEY_BOX), name="K1", where="", side=""
    )
    front = preplan(sample.assessment(), sample.facts(access=(box,))).front
    assert dict(front.access) == {"Entrance": "none recorded", "Key box": "K1"}


@pytest.mark.parametrize(
    ("names", "text"),
    [
        ((), ""),
        (("A10-1",), "A10-1"),
        (("A10-2", "A10-1"), "A10-1, A10-2"),
        (("K1-1", "K1-2", "K1-3", "K6-2"), "K1-1 to K1-3, K6-2"),
        (("K1-9", "K1-10", "K1-11", "K1-11"), "K1-9 to K1-11"),
        (("Cabinet-1", "Cabinet"), "Cabinet, Cabinet-1"),
        (("Q101-1", "Q6-1", "Q6-12", "Q6-2"), "Q6-1, Q6-2, Q6-12, Q101-1"),
    ],
)
def test_drum_names(names: tuple[str, ...], text: str) -> None:
    assert drum_names(names) == text


def test_ages_count_calendar_days() -> None:
    # By hand: 28 February to 1 March 2024 is 2 days, for 2024 is a leap year.
    assert days_before(date(2024, 3, 1), date(2024, 2, 28)) == "2 days before"
    assert days_before(date(2026, 11, 25), date(2026, 11, 24)) == "1 day before"
    assert days_before(date(2026, 11, 25), date(2026, 11, 25)) == "the same day"
    assert days_before(date(2026, 11, 25), date(2026, 11, 27)) == "2 days after the plan’s date"
    assert day_and_age(date(2026, 11, 25), None) == "not recorded"


def test_ranges_and_distances_carry_their_ends_and_tolerance() -> None:
    assert span(Span(1, 2), lambda x: f"{x} m", low="thin", high="thick") == "1 m (thin) to 2 m (thick)"
    assert span(Span(2, 2), lambda x: f"{x} m", low="thin", high="thick") == "2 m (thin and thick)"
    assert span(Span(2, float("inf")), lambda x: f"{x} m", low="far", high="near") == "2 m (far) to any (near)"
    # 1 ft = 0.3048 m exactly (1959 agreement, recalled): 0.40 m is 1.31 ft, 0.07 m is 0.23 ft.
    assert distance(Distance(0.4, 0.07)) == "0.40 ± 0.07 m (1.3 ± 0.2 ft)"


@pytest.mark.parametrize(
    ("text", "letters", "cut"),
    [
        ("short enough", 40, "short enough"),
        (
            "Withdraw; keep everybody out of its sight; cover drains only from outside",
            50,
            "Withdraw; keep everybody out of its sight …",
        ),
        ("First sentence here. Second one goes on and on", 30, "First sentence here. …"),
        ("one two three four five six", 16, "one two three…"),
        ("Donaudampfschifffahrt", 8, "Donauda…"),
    ],
)
def test_texts_are_cut_at_a_clause_or_a_word(text: str, letters: int, cut: str) -> None:
    assert shortened(text, letters) == cut
    assert len(cut) <= letters + 1


def test_each_setting_of_page_one_asks_for_no_more_than_the_one_before() -> None:
    sizes = ["large", "middle", "small"]
    for roomy, tight in pairwise(FITS):
        assert sizes.index(roomy.size) <= sizes.index(tight.size)
        assert roomy.map <= tight.map
        assert all(more >= less for more, less in zip(roomy[2:], tight[2:], strict=True))
        assert roomy != tight


def test_a_drawing_without_a_height_is_refused() -> None:
    with pytest.raises(ValueError, match="height"):
        height_pt("<svg></svg>")


def test_sentences_start_large_and_end_with_a_stop() -> None:
    assert sentence(" cover drain D1") == "Cover drain D1."
    assert sentence("Why?") == "Why?"
    assert sentence("") == ""


def test_recalled_and_derived_are_marked_and_read_is_not() -> None:
    findings = tuple(
        replace(sample.FINDINGS[0], cite=Cite("R", "source", mark)) for mark in (Mark.READ, Mark.RECALLED, Mark.DERIVED)
    )
    plan = preplan(sample.assessment(findings=findings), sample.facts())
    assert [each.basis.verify for each in plan.findings[0].findings] == [False, True, True]


def test_the_paper_names_the_version_it_was_made_with(plan: PrePlan) -> None:
    stated = tomllib.loads((Path(reports.__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8"))
    assert plan.edition.software == f"Drumwalk {stated['project']['version']}"
