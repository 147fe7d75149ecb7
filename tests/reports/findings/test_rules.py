"""Each rule of findings: what raises it, and the near miss that does not."""

from typing import Any

import pytest

from reports.assessment import Kind
from survey.tables.floor import HeatSourceFields, WaterIngressFields
from survey.tables.site import ContactFields, ImpairmentFields, ProtectionSystemFields, WaterSupplyFields
from tests.builders import SurveyBuilder, rectangle
from tests.reports.judged import a_store, judged, of_rule, stock


class TestConditionNow:
    @pytest.mark.parametrize("sign", ["bulging", "hissing", "hot", "frost", "pinging", "venting", "exposed to fire"])
    def test_alarming_signs(self, sign: str) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "acetone", signs=[sign])
        (found,) = of_rule(judged(build), "condition-now")
        assert found.kind is Kind.CONDITION_NOW
        assert found.stop
        assert "Withdraw" in found.sentence

    def test_crystals_are_shock_sensitive(self) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "tetrahydrofuran", signs=["crystals at closure"])
        (found,) = of_rule(judged(build), "condition-now")
        assert "shock-sensitive" in found.sentence

    @pytest.mark.parametrize("sign", ["leaking", "heavy rust", "dent at chime"])
    def test_other_signs_are_not_alarming(self, sign: str) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "acetone", signs=[sign])
        assert of_rule(judged(build), "condition-now") == []

    def test_heat_close_by_is_named(self) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "acetone", signs=["bulging"])
        self.heater(build, (6.5, 5))
        (found,) = of_rule(judged(build), "condition-now")
        assert "Heater, 0.9 m away" in found.reason

    def heater(self, build: SurveyBuilder, at: tuple[float, float]) -> None:
        build.add("heat_sources", HeatSourceFields, name="Heater", kind="unit heater", at=at)


class TestTriggers:
    def drip(self, build: SurveyBuilder, at: tuple[float, float]) -> None:
        build.add("water_ingress", WaterIngressFields, name="Valley", line=[at])

    def test_water_over_what_reacts_with_it(self) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "sodium-hydrosulphite")
        self.drip(build, (5, 5))
        (found,) = of_rule(judged(build), "water-over-water-reactive")
        assert found.kind is Kind.TRIGGER_PRESENT

    def test_water_over_what_does_not(self) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "ethylene-glycol")
        self.drip(build, (5, 5))
        assert of_rule(judged(build), "water-over-water-reactive") == []

    def test_water_farther_than_nearby(self) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "sodium-hydrosulphite")
        self.drip(build, (7.7, 5))
        assert of_rule(judged(build), "water-over-water-reactive") == []

    @pytest.mark.parametrize(
        ("until", "kind"), [("2026-11-24", Kind.TRIGGER_PRESENT), ("2026-11-25", None), (None, Kind.REST)]
    )
    def test_inhibitor_date(self, until: str | None, kind: Kind | None) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "styrene-stabilised", inhibitor_until=until)
        assert [found.kind for found in of_rule(judged(build), "inhibitor-past-date")] == (
            [] if kind is None else [kind]
        )

    @pytest.mark.parametrize(
        ("product", "kind"), [("mek-peroxide-solution", Kind.TRIGGER_PRESENT), ("hydraulic-oil", Kind.REST)]
    )
    def test_heat(self, product: str, kind: Kind) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), product)
        TestConditionNow().heater(build, (6.5, 5))
        (found,) = of_rule(judged(build), "heat-at-unstable")
        assert found.kind is kind


class TestRoutes:
    def test_a_leak_with_a_drain_in_reach(self) -> None:
        build = a_store(perimeter_tight="yes")
        build.drain("D1", (7, 5), joins="storm", proof="dye test", outfall="Brook.")
        stock(build, "P1", (5, 5), "toluene", breaches=[{"kind": "pinhole", "place": "low"}])
        (found,) = of_rule(judged(build), "leaking-with-route")
        assert found.kind is Kind.LOOSE_WITH_ROUTE
        assert "reaches drain D1 (storm, Brook)." in found.sentence
        assert found.litres == 208

    def test_a_leak_without_a_way_out(self) -> None:
        build = a_store(perimeter_tight="yes")
        stock(build, "P1", (5, 5), "toluene", breaches=[{"kind": "pinhole"}])
        (found,) = of_rule(judged(build), "leaking-with-route")
        assert found.kind is Kind.REST

    def test_a_wall_not_tight_is_a_way_out(self) -> None:
        build = a_store(perimeter_tight="unknown")
        stock(build, "P1", (2, 5), "toluene", signs=["leaking"])
        (found,) = of_rule(judged(build), "leaking-with-route")
        assert found.kind is Kind.LOOSE_WITH_ROUTE
        assert "outer wall" in found.sentence

    def test_a_drain_nobody_found_is_a_way_out(self) -> None:
        build = a_store(perimeter_tight="yes")
        build.drain("Yard gully 2", joins="storm")
        stock(build, "P1", (5, 5), "toluene", breaches=[{"kind": "pinhole"}])
        (found,) = of_rule(judged(build), "leaking-with-route")
        assert found.kind is Kind.LOOSE_WITH_ROUTE
        assert found.drains == ("Yard gully 2",)

    def test_no_drain_recorded_is_said(self) -> None:
        build = a_store(perimeter_tight="yes")
        stock(build, "P1", (5, 5), "toluene", breaches=[{"kind": "pinhole"}])
        (found,) = of_rule(judged(build), "leaking-with-route")
        assert "No drain is recorded on this floor" in found.sentence

    def test_unidentified(self) -> None:
        build = a_store(perimeter_tight="yes")
        build.drain("D1", (7, 5))
        stock(build, "P1", (5, 5), None)
        (found,) = of_rule(judged(build), "unidentified-with-route")
        assert found.kind is Kind.LOOSE_WITH_ROUTE
        assert "destination unknown" in found.sentence

    def test_a_pallet_nobody_has_read(self) -> None:
        build = a_store(perimeter_tight="yes")
        build.drain("D1", (7, 5))
        build.pallet("P1", (5, 5), read=False, sighting="access refused")
        assessment = judged(build)
        (found,) = of_rule(assessment, "unidentified-with-route")
        assert found.kind is Kind.LOOSE_WITH_ROUTE
        assert "no reading of it stands (access refused)" in found.sentence
        assert assessment.coverage.total == 0
        assert any("no reading stands of P1" in line for line in assessment.unknowns)
        (zone,) = assessment.floors[0].zones
        assert zone.unknown_share == 1
        assert zone.stops


class TestContainment:
    def bunded(self, **bund: Any) -> SurveyBuilder:
        build = a_store()
        build.bund("K", rectangle(1, 1, 5, 4), **{"height_mm": 100, "tight_at_floor": "yes", **bund})
        stock(build, "P1", (3, 3), "toluene")
        return build

    def capacity_l(self, build: SurveyBuilder) -> float:
        return judged(build).floors[0].containment[0].capacity_l

    def test_to_the_lowest_point(self) -> None:
        assert self.capacity_l(self.bunded()) == pytest.approx(2000)
        assert self.capacity_l(self.bunded(low_point_mm=25)) == pytest.approx(500)

    @pytest.mark.parametrize("tight", ["no", "unknown"])
    def test_a_kerb_not_recorded_tight_holds_nothing(self, tight: str) -> None:
        assert self.capacity_l(self.bunded(tight_at_floor=tight)) == 0

    def test_a_drain_inside_holds_nothing(self) -> None:
        build = self.bunded()
        build.drain("D1", (2, 2))
        assert self.capacity_l(build) == 0
        (found,) = of_rule(judged(build), "open-outlet")
        assert "drain D1 inside it open" in found.sentence

    @pytest.mark.parametrize(("valve", "holds"), [("open", False), ("shut", False), ("shut and proven", True)])
    def test_a_sump_valve(self, valve: str, holds: bool) -> None:  # noqa: FBT001
        build = self.bunded()
        sump, drain = build.sump("S1", (2, 2)), build.drain("D1", (15, 5))
        build.pipe("S1-D1", sump, drain, valve=valve)
        assert (self.capacity_l(build) > 0) is holds

    def test_sprinklers_of_unknown_density_hold_no_rule(self) -> None:
        build = self.bunded()
        build.add("protection_systems", ProtectionSystemFields, kind="sprinkler", covers_floor="another spelling")
        held = judged(build)
        assert [rule.held for rule in held.floors[0].containment[0].rules] == [True, True, True, True, False]
        assert any("density" in finding.sentence for finding in of_rule(held, "sprinkler-overflow"))
        assert any(flag.field == "covers_floor" for flag in held.flags)

    def test_an_empty_floor_has_no_finding(self) -> None:
        assert of_rule(judged(a_store()), "no-containment") == []

    def test_a_floor_without_kerbs_holds_nothing(self) -> None:
        build = a_store()
        stock(build, "P1", (3, 3), "toluene")
        (found,) = of_rule(judged(build), "no-containment")
        assert found.kind is Kind.CONTAINMENT_FAILS


class TestRest:
    def test_high(self) -> None:
        build = a_store()
        stock(build, "P1", (3, 3), "toluene", base_height_m=4.5)
        stock(build, "P2", (8, 3), "toluene", base_height_m=1.0)
        (found,) = of_rule(judged(build), "stands-high")
        assert found.pallets == ("P1",)

    def test_unstable_stack(self) -> None:
        build = a_store()
        stock(build, "P1", (3, 3), "toluene", stable="no")
        stock(build, "P2", (8, 3), "toluene", stable="unknown")
        (found,) = of_rule(judged(build), "unstable-stack")
        assert found.pallets == ("P1",)

    def test_outlet_not_found(self) -> None:
        build = a_store()
        build.drain("D9")
        (found,) = of_rule(judged(build), "outlet-not-found")
        assert found.drains == ("D9",)


class TestSite:
    def test_nobody_at_night(self) -> None:
        build = a_store()
        assert of_rule(judged(build), "nobody-at-night")
        person = {"name": "N. Example", "phone": "555-0100"}
        build.add("contacts", ContactFields, role="treatment works", availability="day and night", **person)
        assert of_rule(judged(build), "nobody-at-night")
        build.add("contacts", ContactFields, role="guard", availability="night", **person)
        assert of_rule(judged(build), "nobody-at-night") == []

    @pytest.mark.parametrize(
        ("record_on", "tenancy", "invalid"),
        [
            ("2024-01-01", "2025-01-01", True),
            ("2025-06-01", "2025-01-01", False),
            (None, "2025-01-01", True),
            ("2024-01-01", None, True),
        ],
    )
    def test_prior_record(self, record_on: str | None, tenancy: str | None, invalid: bool) -> None:  # noqa: FBT001
        build = SurveyBuilder(previous_record="Pallet repair", previous_record_on=record_on, tenancy_since=tenancy)
        assert bool(judged(build).prior_plan_invalid) is invalid

    def test_without_a_prior_record_nothing_is_invalid(self) -> None:
        assert judged(SurveyBuilder(tenancy_since="2025-01-01")).prior_plan_invalid == ""

    def test_water(self) -> None:
        build = SurveyBuilder()
        (found,) = of_rule(judged(build), "no-water-near")
        assert "No water supply recorded" in found.sentence
        build.add("water_supplies", WaterSupplyFields, kind="hydrant", name="H1", distance_m=90)
        assert of_rule(judged(build), "no-water-near") == []

    @pytest.mark.parametrize(("until", "standing"), [("2026-11-24", False), ("2026-11-25", True), (None, True)])
    def test_impairment_ends(self, until: str | None, standing: bool) -> None:  # noqa: FBT001
        build = SurveyBuilder()
        build.add("impairments", ImpairmentFields, what="Smoke vents", until=until)
        assert bool(of_rule(judged(build), "impairment")) is standing
