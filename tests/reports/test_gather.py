"""Gather: unknowns keep their cautious meaning, readings follow the house rules, odd entries are flagged and kept."""

from datetime import date, timedelta

import pytest
from shapely import Point

from reports.facts import FloorFact, PalletFact, SiteFacts
from reports.gather import gather
from tests.builders import DAY, SurveyBuilder, rectangle

TODAY = date(2026, 11, 25)


def facts(build: SurveyBuilder) -> SiteFacts:
    return gather(build.survey(), as_of=TODAY)


def only_floor(build: SurveyBuilder) -> FloorFact:
    return facts(build).floors[0]


def only_pallet(build: SurveyBuilder) -> PalletFact:
    return only_floor(build).pallets[0]


@pytest.fixture
def build() -> SurveyBuilder:
    build = SurveyBuilder()
    build.floor(width_m=20, depth_m=10)
    return build


def test_a_site_without_floors_is_gathered() -> None:
    assert facts(SurveyBuilder()).floors == ()


class TestFill:
    """`fill_l` is what could leave, cautiously."""

    @pytest.mark.parametrize(("fill_pct", "fill_l"), [(50, 100), (100, 200), (None, 200), (120, 200), (0, 0)])
    def test_fill(self, build: SurveyBuilder, fill_pct: float | None, fill_l: float) -> None:
        build.pallet("P1", (3, 3))
        build.drum("P1-1", "toluene", capacity_l=200, fill_pct=fill_pct)
        assert only_pallet(build).drums[0].fill_l == fill_l

    def test_a_solid_does_not_run(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.drum("P1-1", "sodium-hydrosulphite", capacity_l=200, fill_pct=100)
        assert only_pallet(build).drums[0].fill_l == 0

    def test_what_nobody_identified_runs(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.drum("P1-1", None, capacity_l=200)
        assert only_pallet(build).drums[0].fill_l == 200


class TestIdentity:
    """Label read is one source; identified is two that agree; a contradicting label is neither."""

    @pytest.mark.parametrize(
        ("label", "sources", "read", "identified"),
        [
            ("legible", ["label"], True, False),
            ("legible", ["label", "paperwork"], True, True),
            ("legible", ["label", "label"], True, False),
            ("partial", ["label"], False, False),
            ("not seen", ["stock list", "operator"], False, True),
            ("contradicts content", ["label", "paperwork"], False, False),
        ],
    )
    def test_shares(self, build: SurveyBuilder, label: str, sources: list[str], read: bool, identified: bool) -> None:  # noqa: FBT001
        build.pallet("P1", (3, 3))
        build.drum("P1-1", "toluene", label=label, identity_sources=sources)
        drum = only_pallet(build).drums[0]
        assert (drum.label_read, drum.identified) == (read, identified)

    def test_a_contradicting_label_names_no_product(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.drum("P1-1", "toluene", label="contradicts content")
        assert not only_pallet(build).drums[0].product.identified

    def test_no_product_is_never_identified(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.drum("P1-1", None, identity_sources=["label", "paperwork"], label="legible")
        assert not only_pallet(build).drums[0].identified


class TestReadings:
    """Alternatives are not sums: 4 drums and 3 drums are not 7."""

    def two_readings(self, build: SurveyBuilder, **second: object) -> PalletFact:
        build.pallet("P1", (3, 3), read=False)
        first = build.reading("A. One")
        for number in range(4):
            build.drum(f"P1-{number}", "sodium-hydrosulphite")
        build.reading("B. Two", taken_at=DAY + timedelta(minutes=10), **{"replaces_id": None, **second})
        for number in range(3):
            build.drum(f"P1-{number}", "sodium-hydrogen-sulphate")
        assert first.id
        return only_pallet(build)

    def test_the_highest_count_governs_and_all_hazards_stay(self, build: SurveyBuilder) -> None:
        pallet = self.two_readings(build)
        assert pallet.disputed
        assert len(pallet.counted) == 4
        assert {drum.product.key for drum in pallet.drums} == {"sodium-hydrosulphite", "sodium-hydrogen-sulphate"}
        assert [(reading.author, reading.count, reading.governs) for reading in pallet.readings] == [
            ("A. One", 4, True),
            ("B. Two", 3, False),
        ]

    def test_an_additional_reading_adds(self, build: SurveyBuilder) -> None:
        pallet = self.two_readings(build, inclusion="additional")
        assert not pallet.disputed
        assert len(pallet.counted) == 7

    def test_a_reading_set_aside_is_gone(self, build: SurveyBuilder) -> None:
        pallet = self.two_readings(build, inclusion="set aside")
        assert not pallet.disputed
        assert {drum.product.key for drum in pallet.drums} == {"sodium-hydrosulphite"}

    def test_a_correction_replaces_what_it_had_seen(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3), read=False)
        first = build.reading("A. One")
        build.drum("P1-1", "toluene")
        build.drum("P1-2", "toluene")
        build.reading("B. Two", taken_at=DAY - timedelta(days=1), replaces_id=first.id)
        build.drum("P1-1", "acetone")
        pallet = only_pallet(build)
        assert not pallet.disputed
        assert [drum.product.key for drum in pallet.counted] == ["acetone"]


class TestFlags:
    """Implausible entries are kept as seen and named."""

    def flags(self, build: SurveyBuilder) -> dict[tuple[str, str], str]:
        return {(flag.entry, flag.field): flag.treated_as for flag in facts(build).flags}

    def test_a_plain_survey_has_none(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.drum("P1-1", "toluene", container_code="1A1", fill_pct=100)
        assert self.flags(build) == {}

    def test_over_full(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.drum("P1-1", "toluene", fill_pct=120)
        assert self.flags(build) == {("drum P1-1", "fill_pct"): "full"}

    def test_unknown_container(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.drum("P1-1", "toluene", container_code="9Z9")
        assert self.flags(build) == {("drum P1-1", "container_code"): "wall and head unknown"}

    def test_pallet_outside_the_floor(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (40, 40))
        build.drum("P1-1", "toluene")
        assert self.flags(build) == {("pallet P1", "at"): "no reach computed"}

    def test_a_side_that_nothing_can_stand_on(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3), width_m=1e-300)
        build.drum("P1-1", "toluene")
        assert self.flags(build) == {("pallet P1", "width_m"): "taken as 0.05 m"}
        (pallet,) = facts(build).floors[0].pallets
        assert pallet.footprint.area == pytest.approx(0.05 * 1.2)

    def test_unknown_product_key(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.drum("P1-1", "unobtainium")
        assert self.flags(build) == {("drum P1-1", "product"): "not identified"}

    def test_number_of_another_product(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.drum("P1-1", "toluene", un_number="1090")
        assert ("drum P1-1", "un_number") in self.flags(build)

    def test_low_point_above_the_kerb(self, build: SurveyBuilder) -> None:
        build.bund("K", rectangle(1, 1, 3, 3), height_mm=60, low_point_mm=80)
        assert only_floor(build).bunds[0].lip_m == pytest.approx(0.06)
        assert ("bund K", "low_point_mm") in self.flags(build)

    def test_a_level_off_floor_and_yard_tilts_nothing(self, build: SurveyBuilder) -> None:
        build.level((2, 3), 15)
        build.level((200, 3), 900)
        assert self.flags(build) == {("level", "at"): "left out of the slope of the floor"}
        assert only_floor(build).levels == ((Point(2, 3), 0.015),)

    def test_a_fall_with_nowhere_to_fall_to(self, build: SurveyBuilder) -> None:
        build.drain("D1", fall_pct=1)
        build.drain("D2", (1, 1), fall_out_m=3)
        assert self.flags(build) == {("drain D1", "fall_pct"): "no fall", ("drain D2", "fall_out_m"): "no fall"}
        assert [(drain.fall, drain.fall_out_m) for drain in only_floor(build).drains] == [(None, None), (None, None)]


def test_falls_to_drains_are_ratios(build: SurveyBuilder) -> None:
    build.drain("D1", (1, 1), fall_pct=1.5, fall_out_m=3)
    build.drain("D2", (2, 1), fall_pct=2)
    build.drain("D3", (3, 1), fall_pct=0)
    assert facts(build).flags == ()
    assert [(drain.fall, drain.fall_out_m) for drain in only_floor(build).drains] == [
        (0.015, 3.0),
        (0.02, None),
        (None, None),
    ]


class TestNames:
    """What bears a name twice is told apart and flagged, since people are spoken to by name."""

    def test_two_pallets_of_one_name(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.drum("1", "toluene")
        build.pallet("P1", (9, 3))
        build.drum("1", "toluene")
        found = facts(build)
        assert [pallet.name for pallet in found.floors[0].pallets] == ["P1", "P1 (2)"]
        assert [drum.name for pallet in found.floors[0].pallets for drum in pallet.drums] == ["1", "1 (2)"]
        assert {(flag.entry, flag.treated_as) for flag in found.flags} == {
            ("pallet P1", "printed as P1 (2)"),
            ("drum 1", "printed as 1 (2)"),
        }

    def test_the_same_names_on_two_floors(self, build: SurveyBuilder) -> None:
        build.zone("Z", rectangle(0, 0, 5, 5))
        build.drain("D1", (1, 1))
        build.floor("Upper floor")
        build.zone("Z", rectangle(0, 0, 5, 5))
        build.drain("D1", (1, 1))
        floors = facts(build).floors
        assert [zone.name for floor in floors for zone in floor.zones] == ["Z", "Z (2)"]
        assert [drain.name for floor in floors for drain in floor.drains] == ["D1", "D1 (2)"]

    def test_two_drums_of_one_name_in_one_reading(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.drum("1", "toluene")
        build.drum("1", "acetone")
        assert sorted(drum.name for drum in only_pallet(build).drums) == ["1", "1 (2)"]

    def test_two_readings_may_speak_of_one_drum(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3), read=False)
        build.reading("A. One")
        build.drum("1", "toluene")
        build.reading("B. Two")
        build.drum("1", "acetone")
        assert [drum.name for drum in only_pallet(build).drums] == ["1", "1"]


class TestUnread:
    """A pallet that nobody has read is unknown, not empty."""

    def test_without_a_reading(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3), read=False)
        (drum,) = only_pallet(build).drums
        assert drum.unread
        assert not drum.counted
        assert not drum.product.identified
        assert drum.hidden
        assert only_pallet(build).counted == ()

    @pytest.mark.parametrize(("sighting", "unread"), [("seen", False), ("access refused", True), ("not seen", True)])
    def test_a_reading_without_drums(self, build: SurveyBuilder, sighting: str, *, unread: bool) -> None:
        build.pallet("P1", (3, 3), sighting=sighting)
        assert bool(only_pallet(build).drums) is unread

    def test_two_pallets_on_one_spot(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (3, 3))
        build.pallet("P2", (3.2, 3))
        build.pallet("P3", (3, 3), base_height_m=1.5, stack_level=2)
        build.pallet("P4", (4.2, 3))
        (flag,) = facts(build).flags
        assert (flag.entry, flag.treated_as) == ("pallets P1 and P2", "two; same pallet?")


class TestPlaces:
    """Where a drum is, and how far it may be off."""

    def test_offset_turns_with_the_pallet(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (5, 5), turn_deg=90)
        build.drum("P1-1", "toluene", offset=(0, 0.3))
        at = only_pallet(build).drums[0].at
        assert (at.x, at.y) == pytest.approx((5.3, 5.0))

    def test_without_offset_the_whole_footprint_is_the_tolerance(self, build: SurveyBuilder) -> None:
        build.pallet("P1", (5, 5), width_m=3, depth_m=4, tolerance_m=0)
        build.drum("P1-1", "toluene")
        assert only_pallet(build).drums[0].tolerance_m == pytest.approx(2.5)

    @pytest.mark.parametrize(("source", "tolerance_m"), [("measured", 0.05), ("drawn", 0.20), ("tapped", 0.35)])
    def test_tolerance_by_source(self, build: SurveyBuilder, source: str, tolerance_m: float) -> None:
        build.pallet("P1", (5, 5), position_source=source)
        assert only_pallet(build).tolerance_m == tolerance_m

    def test_the_smallest_storage_zone_wins_and_the_rest_is_elsewhere(self, build: SurveyBuilder) -> None:
        build.zone("Big", rectangle(0, 0, 10, 10))
        small = build.zone("Small", rectangle(2, 2, 2, 2))
        build.pallet("P1", (3, 3))
        build.pallet("P2", (15, 5))
        floor = only_floor(build)
        assert floor.pallets[0].zone_id == small.id
        names = {zone.id: zone.name for zone in floor.zones}
        assert [names[zone_id] for pallet in floor.pallets if (zone_id := pallet.zone_id)] == ["Small", "Elsewhere"]
