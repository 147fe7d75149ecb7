"""The right findings of the demo sites appear in their assessments.

What is right was worked out by hand for each invented site from its coordinates and its chemistry; distances and film
depths are plain geometry (level disc from the drum's centre), reactions and limits carry the sources of their rules.
"""

from dataclasses import replace
from datetime import date

import pytest

from reports.assessment import DrainReach, Kind, PairAssessment, Verdict
from reports.assessor import assess
from reports.gather import gather
from survey.bundle import Survey
from survey.vocabulary import DrainDestination, DrainProof, ValvePosition
from tests.demo_sites import DAY, demo_assessment, demo_facts, demo_floor, demo_survey, findings_with


def reach(letter: str, drain: str, pallet: str, product: str) -> DrainReach:
    found = next(each for each in demo_floor(letter).drains if each.name == drain)
    return next(each for each in found.reaches if each.pallet == pallet and product in each.products[0])


def pair(letter: str, a: str, b: str, reaction: str) -> PairAssessment:
    return next(each for each in demo_floor(letter).pairs if {each.a, each.b} == {a, b} and reaction in each.reaction)


def zone_names(letter: str) -> list[str]:
    return [zone.name for zone in demo_floor(letter).zones]


class TestTessalyRoad:
    """Site A: a small store."""

    def test_storage_zones_in_order(self) -> None:
        assert zone_names("A") == ["SE", "NW", "Centre", "NE"]

    def test_the_bulging_drum_is_the_worst_finding(self) -> None:
        worst = demo_assessment("A").worst
        assert worst is not None
        assert worst.kind is Kind.CONDITION_NOW
        assert worst.drums == ("A10-1",)
        assert "no bung, plug, patch, move or overpack" in worst.sentence
        assert "heater" in worst.reason
        assert "only from outside" in worst.reason

    def test_acid_and_hypochlorite_make_chlorine_and_lead_the_pairs(self) -> None:
        first = demo_floor("A").pairs[0]
        assert {first.a, first.b} == {"A01", "A02"}
        assert first.gas == "chlorine"
        assert first.lethal
        assert first.separation is not None
        assert first.separation.metres == pytest.approx(0.40, abs=0.005)
        assert first.meets is Verdict.REACHES

    def test_peroxide_and_toluene_stand_40_cm_apart_and_meet_in_the_gully(self) -> None:
        found = pair("A", "A05", "A06", "fire")
        assert found.separation is not None
        assert found.separation.metres == pytest.approx(0.40, abs=0.005)
        assert "drain D1" in found.where
        assert found is demo_floor("A").pairs[1]

    def test_isopropanol_and_peroxide_meet_in_the_gully_although_farther_apart(self) -> None:
        found = pair("A", "A04", "A06", "fire")
        assert "drain D1" in found.where
        assert found.hydraulic_m == 0

    @pytest.mark.parametrize(
        ("pallet", "product", "gap_m", "nearest_m", "farthest_m", "critical_mm"),
        [
            ("A04", "Isopropanol", 1.66, 2.08, 2.92, 7.76),
            ("A05", "Toluene", 1.66, 2.08, 2.92, 7.76),
            ("A06", "Hydrogen peroxide", 2.87, 3.28, 4.10, 3.93),
        ],
    )
    def test_one_leaking_drum_reaches_the_gully(
        self, pallet: str, product: str, gap_m: float, nearest_m: float, farthest_m: float, critical_mm: float
    ) -> None:
        found = reach("A", "D1", pallet, product)
        assert found.verdict is Verdict.REACHES
        assert found.gap.metres == pytest.approx(gap_m, abs=0.01)
        assert found.drum_distance_m.low == pytest.approx(nearest_m, abs=0.01)
        assert found.drum_distance_m.high == pytest.approx(farthest_m, abs=0.01)
        assert found.critical_depth_mm is not None
        assert found.critical_depth_mm.low == pytest.approx(critical_mm, rel=0.01)

    def test_the_nearest_peroxide_drum_reaches_at_6_2_mm(self) -> None:
        depths = reach("A", "D1", "A06", "Hydrogen peroxide").critical_depth_mm
        assert depths is not None
        assert depths.high == pytest.approx(6.2, rel=0.01)

    def test_the_disputed_gully_is_acted_on_as_storm_and_printed_unproven(self) -> None:
        gully = next(drain for drain in demo_floor("A").drains if drain.name == "D1")
        assert gully.treated_as == "storm"
        assert not gully.proven
        assert gully.other_claims
        assert findings_with(demo_assessment("A"), "Drain D1", "storm, unproven")

    def test_the_interceptor_does_not_hold_what_mixes_with_water(self) -> None:
        trench = next(drain for drain in demo_floor("A").drains if drain.name == "D2")
        assert not trench.holds_miscible
        remarks = " ".join(trench.remarks)
        assert "holds only what floats" in remarks
        assert "Acetone" in remarks
        assert "Isopropanol" in remarks

    @pytest.mark.parametrize(("pallet", "gap_m"), [("A10", 4.66), ("A09", 2.68), ("A08", 2.68)])
    def test_gaps_to_the_trench(self, pallet: str, gap_m: float) -> None:
        found = next(each for each in demo_floor("A").drains if each.name == "D2")
        gaps = [each.gap.metres for each in found.reaches if each.pallet == pallet]
        assert gaps == pytest.approx([gap_m], abs=0.01)

    def test_unlabelled_drums_are_hazardous_until_known(self) -> None:
        (found,) = findings_with(demo_assessment("A"), "A09", "hazardous until known")
        assert found.kind is Kind.LOOSE_WITH_ROUTE
        assert any("painted-over" in line.instead or "painted over" in line.sentence for line in zone_stops("A", "SE"))

    def test_sawdust_lies_beside_the_peroxide(self) -> None:
        (found,) = findings_with(demo_assessment("A"), "awdust", "A06")
        assert "inert mineral" in found.sentence

    def test_two_steel_overpacks_and_poly_and_vented_ones_missing(self) -> None:
        rows = {(row.material, row.vented): row for row in demo_assessment("A").overpacks}
        assert rows["steel", False].on_site == 2
        assert rows["poly", False].missing > 0
        assert set(rows["poly", True].products) == {"Hydrogen peroxide 35 %", "Sodium hypochlorite 12.5 %"}
        assert rows["poly", True].missing > 0
        assert findings_with(demo_assessment("A"), "Too few overpacks", "poly")

    def test_no_containment(self) -> None:
        (floor,) = demo_floor("A").containment
        assert floor.capacity_l == 0
        assert findings_with(demo_assessment("A"), "holds 0 L", "no kerb")

    def test_nobody_answers_at_night(self) -> None:
        assert findings_with(demo_assessment("A"), "Nobody from the site", "at night")

    def test_first_actions_are_outside_and_name_what_they_replace_in_order(self) -> None:
        actions = demo_assessment("A").first_actions
        assert [action.at for action in actions[:3]] == [None, None, None]
        assert [action.instead_of.split(":")[0] for action in actions[:3]] == [
            "the sill of Roller door",
            "drain D1",
            "drain D2",
        ]
        assert all("100 m" in action.from_where for action in actions[:3])

    def test_no_method_for_the_bulging_drum_or_its_neighbours(self) -> None:
        south_east = next(zone for zone in demo_floor("A").zones if zone.name == "SE")
        assert south_east.methods == ()
        assert {line.drum for line in south_east.stops} >= {"A10-1", "A10-2", "A10-3", "A09-1", "A09-2"}

    def test_counts(self) -> None:
        known = demo_assessment("A").coverage
        assert (known.drums, known.empty, known.small_containers) == (37, 1, 0)


def zone_stops(letter: str, name: str) -> tuple:  # type: ignore[type-arg]
    return next(zone.stops for zone in demo_floor(letter).zones if zone.name == name)


def changed(letter: str, noun: str, name: str, **fields: object) -> Survey:
    """Give a demo survey with one entry changed."""
    survey = demo_survey(letter)
    entries = [entry.model_copy(update=fields) if entry.name == name else entry for entry in getattr(survey, noun)]
    assert entries != getattr(survey, noun)
    return survey.model_copy(update={noun: entries})


class TestQuillmere:
    """Site B: a logistics shed."""

    def test_storage_zones_in_order(self) -> None:
        order = zone_names("B")
        assert set(order[:2]) == {"Z2", "Z3"}
        assert order[2] == "Z7"
        assert set(order[3:6]) == {"Z4", "Cabinet", "Z1"}
        assert order[6:] == ["Z6", "Z5"]

    def test_acid_and_cyanide_meet_through_the_joined_sumps_and_rank_first(self) -> None:
        worst = demo_assessment("B").worst
        assert worst is not None
        assert worst.kind is Kind.LETHAL_GAS_MEETING
        assert "hydrogen cyanide" in worst.sentence
        assert set(worst.zones) == {"Z2", "Z3"}
        assert demo_floor("B").pairs[0].gas == "hydrogen cyanide"
        assert "sump S1" in worst.sentence
        assert worst.metres == 0

    def test_acid_and_sulphide_meet_too(self) -> None:
        found = findings_with(demo_assessment("B"), "hydrogen sulphide", "sump S2")
        assert found
        assert all(finding.kind is Kind.LETHAL_GAS_MEETING for finding in found)

    def test_the_bunds_look_apart(self) -> None:
        found = pair("B", "B14", "B15", "heat")
        assert found.separation is not None
        assert found.separation.metres == pytest.approx(4.3, abs=0.01)
        assert found.hydraulic_m == 0

    def test_the_open_valve_lets_both_bunds_out_to_the_brook(self) -> None:
        gully = next(drain for drain in demo_floor("B").drains if drain.name == "D2")
        assert gully.through_sumps == ("Z2", "Z3")
        assert findings_with(demo_assessment("B"), "Z2 and Z3", "drain D2", "rook")
        bunds = {each.name: each for each in demo_floor("B").containment}
        assert bunds["bund Z2"].capacity_l == 0
        assert bunds["bund Z2"].geometric_l == pytest.approx(4800)
        assert bunds["bund Z3"].capacity_l == 0

    def test_nitric_and_acetic_acid(self) -> None:
        found = pair("B", "B13", "B14", "fire")
        assert found.separation is not None
        assert found.separation.metres == pytest.approx(0.30, abs=0.005)

    def test_nitric_acid_takes_no_wood(self) -> None:
        acids = next(zone for zone in demo_floor("B").zones if zone.name == "Z2")
        table = next(table for table in acids.methods if "Nitric" in table.product)
        refused = " ".join(line for row in table.rows for line in row.not_here)
        assert "wood" in refused
        advice = next(advice for advice in acids.absorbents if "Nitric" in advice.product)
        assert "sawdust" in advice.never or "cellulose" in advice.never

    def test_containment_of_the_flammables_bay(self) -> None:
        bay = next(each for each in demo_floor("B").containment if each.name == "bund Z1")
        needed = [rule.needed_l for rule in bay.rules]
        assert bay.drums == 40
        assert bay.stored_l == pytest.approx(8320)
        assert needed == pytest.approx([208, 832, 2080, 228.8, 48_032], abs=1)
        assert [rule.held for rule in bay.rules] == [True, True, True, True, False]
        assert bay.capacity_l == pytest.approx(3920)
        assert bay.sprinkler_l_min == pytest.approx(2391.2)
        assert bay.overflow_min == pytest.approx(1.6, abs=0.05)
        assert "all heads" in bay.assumption

    def test_the_full_kerb_would_last_8_2_minutes(self) -> None:
        survey = changed("B", "bunds", "Z1", low_point_mm=None, low_point_at=None)
        again = assess(gather(survey, as_of=DAY))
        bay = next(each for each in again.floors[0].containment if each.name == "bund Z1")
        assert bay.capacity_l == pytest.approx(19_600)
        assert bay.overflow_min == pytest.approx(8.2, abs=0.05)

    def test_styrene_past_its_inhibitor_date(self) -> None:
        (found,) = findings_with(demo_assessment("B"), "B10", "inhibitor")
        assert found.kind is Kind.TRIGGER_PRESENT
        assert "no sealed overpack" in found.sentence

    def test_hydrosulphite_under_water(self) -> None:
        (found,) = findings_with(demo_assessment("B"), "B19:", "reacts with water")
        assert found.kind is Kind.TRIGGER_PRESENT
        assert "Roof valley" in found.sentence
        assert "keep it dry" in found.sentence
        assert "sprinklers are not shut during a fire" in found.sentence

    def test_both_readings_of_the_disputed_pallet_and_the_worse_one_acted_on(self) -> None:
        (dispute,) = demo_assessment("B").disputes
        assert dispute.pallet == "B19"
        assert len(dispute.readings) == 2
        assert dispute.acted_on.startswith("4 × Sodium hydrosulphite")
        assert any("3 × Sodium hydrogen sulphate" in reading for reading in dispute.readings)
        assert "UN number" in dispute.ask
        pallet = next(each for each in demo_floor("B").pallets if each.name == "B19")
        assert pallet.drums == 4
        assert len(pallet.products) == 2

    def test_isocyanate(self) -> None:
        (found,) = findings_with(demo_assessment("B"), "B21", "reacts with water")
        assert "amines" in found.sentence
        assert "carbon dioxide" in found.sentence
        assert "No sealed overpack" in found.sentence

    def test_hypochlorite_and_ammonia_meet_in_the_sanitary_sewer(self) -> None:
        found = next(
            each
            for each in demo_assessment("B").findings
            if each.kind is Kind.LETHAL_GAS_MEETING and "Z7" in each.zones
        )
        assert "drain D3" in found.sentence
        assert "0.40 ± 0.07 m" in found.sentence
        gully = next(drain for drain in demo_floor("B").drains if drain.name == "D3")
        assert gully.joins == "sanitary"
        assert any("treatment works" in remark and "vapour" in remark for remark in gully.remarks)
        assert any("treatment works" in action.what for action in demo_assessment("B").first_actions)

    @pytest.mark.parametrize(
        ("pallet", "product", "gap_m"),
        [("B27", "hypochlorite", 1.98), ("B28", "hypochlorite", 1.40), ("B29", "Ammonia", 1.52)],
    )
    def test_all_three_reach_the_sanitary_gully_at_6_mm(self, pallet: str, product: str, gap_m: float) -> None:
        found = reach("B", "D3", pallet, product)
        assert found.verdict is Verdict.REACHES
        assert found.gap.metres == pytest.approx(gap_m, abs=0.01)
        assert found.critical_depth_mm is not None
        assert found.critical_depth_mm.low >= 6

    def test_the_weeping_drum_has_a_stop_line_before_any_method(self) -> None:
        (found,) = findings_with(demo_assessment("B"), "B31", "leaking (bung weep, low; lies on its side)")
        assert found.kind is Kind.LOOSE_WITH_ROUTE
        assert "drain D1" in found.sentence
        assert "rook" in found.sentence
        cage = next(zone for zone in demo_floor("B").zones if zone.name == "Z6")
        weeping = found.drums[0]
        assert any(line.drum == weeping and "0.4" in f"{line.sentence} {line.because}" for line in cage.stops)
        assert all(weeping not in table.drums for table in cage.methods)

    def test_gap_of_the_weeping_pallet_to_the_storm_inlet(self) -> None:
        found = reach("B", "D1", "B31", "Phosphoric")
        assert found.gap.metres == pytest.approx(2.30, abs=0.01)
        assert found.verdict is Verdict.REACHES

    def test_oils_on_the_rack_reach_no_drain(self) -> None:
        gully = next(drain for drain in demo_floor("B").drains if drain.name == "D3")
        oils = [each for each in gully.reaches if each.pallet in {"B22", "B23", "B24", "B25", "B26"}]
        assert len(oils) == 5
        for each in oils:
            assert each.verdict is Verdict.NOT_REACHED
            assert each.critical_depth_mm is not None
            assert each.critical_depth_mm.high < 2.8
        assert len(findings_with(demo_assessment("B"), "B22", "fall")) == 1

    def test_peroxide_cabinet_at_a_heater(self) -> None:
        (found,) = findings_with(demo_assessment("B"), "peroxide", "1.0 m from a unit heater")
        assert found.kind is Kind.TRIGGER_PRESENT
        assert "metals, amines and accelerators" in found.sentence

    def test_overpack_materials(self) -> None:
        by_product = {need.product: need for zone in demo_floor("B").zones for need in zone.overpacks}
        for name in ("Hydrochloric acid 32 %", "Sodium hydroxide 50 %", "Sodium hypochlorite 12.5 %"):
            assert by_product[name].material == "poly"
        assert by_product["Toluene"].material == "steel"
        nitric = by_product["Nitric acid 68 %"]
        assert nitric.material == "poly"
        assert "short-term" in nitric.remark
        assert not by_product["Styrene, stabilised"].possible

    @pytest.mark.parametrize(
        ("product", "liquid_kg"),
        [("Sodium hydroxide 50 %", 318), ("Nitric acid 68 %", 293), ("Hydrochloric acid 32 %", 241), ("Toluene", 181)],
    )
    def test_no_hand_lift(self, product: str, liquid_kg: float) -> None:
        needs = [need for zone in demo_floor("B").zones for need in zone.overpacks if need.product == product]
        assert max(need.gross_kg for need in needs) > liquid_kg
        assert max(need.gross_kg for need in needs) < liquid_kg + 80
        assert all("hand" in need.handling for need in needs)

    def test_the_penstock_is_a_task_with_its_key_holder(self) -> None:
        task = next(action for action in demo_assessment("B").first_actions if "valve of drain D4" in action.what)
        assert "uard" in task.what

    def test_each_storage_zone_names_who_answers_at_night(self) -> None:
        by_zone = {zone.name: zone.night_contact for zone in demo_floor("B").zones}
        assert all(contact != "nobody recorded" for contact in by_zone.values())
        assert len(set(by_zone.values())) >= 3

    def test_the_main_door_is_blocked(self) -> None:
        assert findings_with(demo_assessment("B"), "Main door is blocked")

    def test_a_proven_valve_takes_the_brook_away_and_leaves_the_cyanide_first(self) -> None:
        again = assess(gather(changed("B", "pipes", "S1-D2", valve=ValvePosition.SHUT_PROVEN), as_of=DAY))
        assert not findings_with(again, "Z2 and Z3", "drain D2")
        assert again.worst is not None
        assert "hydrogen cyanide" in again.worst.sentence

    def test_a_proven_plug_in_the_joining_pipe_removes_the_cyanide_pair_from_the_top(self) -> None:
        again = assess(gather(changed("B", "pipes", "S1-S2", plugged_and_proven=True), as_of=DAY))
        assert not findings_with(again, "make hydrogen cyanide")
        assert again.worst is not None
        assert again.worst.zones == ("Z2",)  # within the acids: hydrochloric and nitric, one kerb round both
        assert "chlorine and nitrosyl chloride" in again.worst.sentence

    def test_counts(self) -> None:
        known = demo_assessment("B").coverage
        assert (known.total, known.empty, known.small_containers) == (124, 2, 8)


class TestVellinor:
    """Site C: the bad one."""

    def test_headline_shares(self) -> None:
        known = demo_assessment("C").coverage
        assert known.total == 186
        assert known.hidden == 108
        assert known.seen_share == pytest.approx(0.419, abs=0.0005)
        assert known.label_read_share == pytest.approx(0.151, abs=0.0005)
        assert known.identified_share == 0

    def test_nobody_enters_and_no_method_is_given_anywhere(self) -> None:
        assert demo_assessment("C").no_entry.startswith("Do not enter beyond the door")
        assert all(zone.methods == () for zone in demo_floor("C").zones)
        assert "not for first crews" in demo_assessment("C").kit_heading

    def test_every_drum_has_a_stop_line(self) -> None:
        stopped = {drum for pallet in demo_floor("C").pallets for drum in pallet.stopped_drums}
        assert len(stopped) == 186

    def test_bulging_and_crystals_lead(self) -> None:
        now = [finding for finding in demo_assessment("C").findings if finding.kind is Kind.CONDITION_NOW]
        assert sum(len(finding.drums) for finding in now if "bulging" in finding.sentence) == 4
        (crystals,) = [finding for finding in now if "crystals" in finding.sentence]
        assert len(crystals.drums) == 2
        assert "shock-sensitive" in crystals.sentence
        assert "no radio" in crystals.sentence

    def test_acid_and_cyanide_cannot_be_excluded_and_no_distance_is_claimed(self) -> None:
        pairs = [each for each in demo_floor("C").pairs if each.gas == "hydrogen cyanide" and each.certain]
        assert pairs
        assert all(each.separation is None for each in pairs)
        lethal = [each for each in demo_assessment("C").findings if each.kind is Kind.LETHAL_GAS_MEETING]
        assert "hydrogen cyanide" in lethal[0].sentence
        assert "cannot be excluded" in lethal[0].sentence
        assert lethal[0].metres is None

    def test_how_much_could_run(self) -> None:
        (found,) = findings_with(demo_assessment("C"), "1,872 L", "38,688 L")
        assert found.kind is Kind.LOOSE_WITH_ROUTE

    def test_the_creek_comes_first_and_nothing_near_the_stop_drums(self) -> None:
        first, *rest = demo_assessment("C").first_actions
        assert "Creek" in first.what
        assert first.instead_of.startswith("drain D3: 4 m from K6")
        assert "public ground" in first.from_where
        assert all(action.at is None for action in (first, *rest))

    def test_the_pit_leads_to_ground_and_the_water_authority_is_told(self) -> None:
        assert any(
            "water authority" in action.what and "D2" in action.what for action in demo_assessment("C").first_actions
        )

    def test_no_water_near(self) -> None:
        assert findings_with(demo_assessment("C"), "Nearest water", "relay or tankers")

    def test_the_earlier_record_is_invalid(self) -> None:
        assert "allet repair" in demo_assessment("C").prior_plan_invalid
        assert "Prior plan invalid" in demo_assessment("C").prior_plan_invalid

    def test_an_outlet_was_not_found(self) -> None:
        assert findings_with(demo_assessment("C"), "drawn and was not found")

    def test_asbestos_and_no_power(self) -> None:
        assert findings_with(demo_assessment("C"), "Asbestos")
        assert findings_with(demo_assessment("C"), "No power")

    def test_hidden_blocks_are_hatched(self) -> None:
        by_zone = {zone.name: zone.unknown_share for zone in demo_floor("C").zones}
        assert all(by_zone[name] > 0.8 for name in ("K1", "K2", "K3"))

    def test_drums_are_to_be_inspected_before_anything_is_moved(self) -> None:
        tasks = " ".join(demo_assessment("C").operator_tasks)
        assert "before anything is moved" in tasks


@pytest.mark.parametrize("letter", "ABC")
def test_proving_a_drain_changes_what_it_is_treated_as(letter: str) -> None:
    facts = demo_facts(letter)
    proven = replace(
        facts.floors[0].drains[0], proof=DrainProof.DYE_TEST, other_claims=(), joins=DrainDestination.HOLDING_TANK
    )
    floor = replace(facts.floors[0], drains=(proven, *facts.floors[0].drains[1:]))
    again = assess(replace(facts, floors=(floor,)))
    found = next(drain for drain in again.floors[0].drains if drain.id == proven.id)
    assert found.proven
    assert found.treated_as == "holding tank"


@pytest.mark.parametrize("letter", "ABC")
def test_a_later_day_changes_only_what_depends_on_dates(letter: str) -> None:
    again = assess(replace(demo_facts(letter), as_of=date(2027, 11, 25)))
    assert again.coverage == demo_assessment(letter).coverage
    assert again.floors[0].pairs == demo_assessment(letter).floors[0].pairs
