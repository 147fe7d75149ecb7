"""A product from a safety data sheet: its source, its numbers, what is implausible, what contradicts the catalogue."""

from datetime import date
from typing import Any

import pytest

from reports.facts import DrumFact, SiteFacts
from reports.gather import gather
from reports.sheet_match import near_names, un_number, valid_cas
from reports.sheet_notes import sheet_notes
from reports.sheet_traits import ASKED, CLASS_MEANS
from survey.catalogue.product import NOT_PRESUMED, Cited, Form, Mark, Product, Trait
from survey.catalogue.products import catalogue
from tests.builders import SurveyBuilder

TODAY = date(2026, 11, 25)
NO_TO_ALL: dict[str, str] = dict.fromkeys(Trait, "no")


def site(said: dict[str, str] | None = None, /, *, name: str = "Example blend 7", **fields: Any) -> SiteFacts:
    build = SurveyBuilder()
    build.floor()
    sheet = build.sheet_product(name, said, **fields)
    build.pallet("P1", (3, 3))
    build.drum("P1-1", sheet_product_id=sheet.id, label="legible", identity_sources=["label"])
    return gather(build.survey(), as_of=TODAY)


def only_drum(facts: SiteFacts) -> DrumFact:
    return facts.floors[0].pallets[0].drums[0]


def product(said: dict[str, str] | None = None, /, **fields: Any) -> Product:
    return only_drum(site(said, **fields)).product


def flagged(facts: SiteFacts) -> dict[str, tuple[str, str]]:
    return {flag.field: (flag.found, flag.treated_as) for flag in facts.flags}


class TestSource:
    """Everything taken from the sheet says whose sheet it was and who typed it."""

    def test_provenance(self) -> None:
        found = product(
            supplier="Example Supplies",
            revision_date="2024-03-01",
            entered_from="sections 3, 9 and 10",
            density={"value": 0.87, "unit": "g/cm3", "temperature_c": 15, "where": "section 9.1"},
        )
        assert found.identity_source == (
            "safety data sheet of Example Supplies, revision 2024-03-01, entered by R. Example on 2026-03-02 "
            "from sections 3, 9 and 10"
        )
        assert found.density_kg_m3 is not None
        assert found.density_kg_m3.source == f"{found.identity_source}, section 9.1: 0.87 g/cm3"
        assert (found.density_kg_m3.value, found.density_kg_m3.temperature_c) == (870, 15)

    def test_what_is_not_recorded_is_said(self) -> None:
        assert "of a supplier not recorded, revision not recorded" in product().identity_source

    def test_one_label_is_one_source_and_the_sheet_is_none(self) -> None:
        drum = only_drum(site())
        assert (drum.product.identified, drum.identified, drum.label_read) == (True, False, True)
        assert drum.product.from_sheet

    def test_note_says_verify_and_how_much_is_open(self) -> None:
        (note,) = sheet_notes([product(NO_TO_ALL | {"acid": "yes", "base": "unknown"})])
        assert note.endswith("; verify. Left open, and so counted as yes: base.")
        (note,) = sheet_notes([product()])
        assert f"and {len(ASKED) - 8} more." in note
        assert sheet_notes([catalogue().by_key["toluene"]]) == ()


class TestNumbers:
    """Numbers are converted by hand here: 1 psi is 6894.76 Pa, (70 - 32) / 1.8 is 21.11 °C."""

    @pytest.mark.parametrize(
        ("field", "given", "of_product", "value"),
        [
            ("density", {"value": 870, "unit": "kg/m3"}, "density_kg_m3", 870),
            ("density", {"value": 7.26, "unit": "lb/US gal"}, "density_kg_m3", 869.9),
            ("viscosity", {"value": 12, "unit": "mPa.s"}, "viscosity_pa_s", 0.012),
            ("vapour_pressure", {"value": 0.5, "unit": "psi"}, "vapour_pressure_pa", 3447),
            ("flash_point", {"value": 70, "unit": "degF"}, "flash_c", 21.11),
            ("boiling_point", {"value": 383, "unit": "K"}, "boiling_c", 109.85),
            ("lower_flammable", {"value": 1.1}, "lower_flammable_vol_pct", 1.1),
            ("upper_flammable", {"value": 7.1}, "upper_flammable_vol_pct", 7.1),
            ("molar_mass", {"value": 92.1, "unit": "g/mol"}, "molar_mass_kg_mol", 0.0921),
        ],
    )
    def test_converted(self, field: str, given: dict[str, Any], of_product: str, value: float) -> None:
        found: Cited | None = getattr(product(**{field: given}), of_product)
        assert found is not None
        assert found.value == pytest.approx(value, rel=1e-3)
        assert found.mark is Mark.READ

    def test_kinematic_viscosity_takes_the_density(self) -> None:
        thick = {"value": 20, "unit": "mm2/s", "temperature_c": 40}
        found = product(viscosity=thick, density={"value": 0.9, "unit": "kg/L"})
        assert found.viscosity_pa_s is not None
        assert found.viscosity_pa_s.value == pytest.approx(0.018)
        assert found.viscosity_pa_s.mark is Mark.DERIVED
        alone = site(viscosity=thick)
        assert only_drum(alone).product.viscosity_pa_s is None
        assert flagged(alone)["viscosity"] == ("20 mm2/s, and no density", "viscosity not on record")

    @pytest.mark.parametrize(
        ("field", "given", "of_product", "acted_on"),
        [
            ("flash_point", {"value": 23, "unit": "degC", "bound": "at least"}, "flash_c", True),
            ("flash_point", {"value": 23, "unit": "degC", "bound": "at most"}, "flash_c", False),
            ("vapour_pressure", {"value": 1, "unit": "hPa", "bound": "at most"}, "vapour_pressure_pa", True),
            ("vapour_pressure", {"value": 1, "unit": "hPa", "bound": "at least"}, "vapour_pressure_pa", False),
        ],
    )
    def test_a_limit_is_a_number_only_at_the_cautious_end(
        self,
        field: str,
        given: dict[str, Any],
        of_product: str,
        acted_on: bool,  # noqa: FBT001
    ) -> None:
        assert (getattr(product(**{field: given}), of_product) is not None) is acted_on

    @pytest.mark.parametrize(
        ("field", "given", "of_product"),
        [
            ("density", {"value": 0.87, "unit": "kg/m3"}, "density_kg_m3"),
            ("density", {"value": 870, "unit": "g/cm3"}, "density_kg_m3"),
            ("flash_point", {"value": -300, "unit": "degC"}, "flash_c"),
            ("molar_mass", {"value": 92, "unit": "kg/mol"}, "molar_mass_kg_mol"),
        ],
    )
    def test_a_number_in_the_wrong_unit_is_flagged_and_not_acted_on(
        self, field: str, given: dict[str, Any], of_product: str
    ) -> None:
        typed: dict[str, Any] = {field: given}
        facts = site(**typed)
        assert getattr(only_drum(facts).product, of_product) is None
        assert flagged(facts)[field][1].endswith("not on record")

    def test_a_flash_point_above_the_boiling_point_makes_both_unknown(self) -> None:
        facts = site(
            NO_TO_ALL,
            flash_point={"value": 55, "unit": "degC"},
            boiling_point={"value": 50, "unit": "degC"},
        )
        found = only_drum(facts).product
        assert (found.flash_c, found.boiling_c) == (None, None)
        assert flagged(facts)["flash_point"] == ("55 degC, boiling point 50 degC", "neither is on record")
        assert Trait.FLAMMABLE in found.known_traits, "one of the two says that it burns"
        assert "flash_point" not in flagged(
            site(flash_point={"value": 55, "unit": "degC"}, boiling_point={"value": 56, "unit": "degC"})
        )

    def test_a_flammable_range_upside_down_is_none(self) -> None:
        facts = site(lower_flammable={"value": 7.1}, upper_flammable={"value": 1.1})
        found = only_drum(facts).product
        assert (found.lower_flammable_vol_pct, found.upper_flammable_vol_pct) == (None, None)
        assert "lower_flammable" in flagged(facts)


class TestIdentity:
    """Numbers, class, dates and names are held against the catalogue and against themselves."""

    @pytest.mark.parametrize(
        ("typed", "digits"), [("UN 1993", "1993"), ("un1993", "1993"), ("1993", "1993"), ("199", None), ("", None)]
    )
    def test_un_number(self, typed: str, digits: str | None) -> None:
        assert un_number(typed) == digits

    def test_cas_check_digits(self) -> None:
        # Water 7732-18-5 and toluene 108-88-3, as printed on every label; the last digit is the check.
        assert valid_cas(["7732-18-5", "108-88-3", "108-88-4", "toluene"]) == ("7732-18-5", "108-88-3")

    def test_wrong_numbers_are_flagged_and_not_acted_on(self) -> None:
        facts = site(un_number="19-93", cas_numbers=["108-88-4"], hazard_class="3a", reaction_groups=[50, 16])
        found = only_drum(facts).product
        assert (found.un_number, found.cas_numbers, found.hazard_class, found.reaction_groups) == (
            None,
            (),
            None,
            (16,),
        )
        assert {"un_number", "cas_numbers", "hazard_class", "reaction_groups"} <= set(flagged(facts))

    def test_a_revision_after_its_own_entry_is_flagged(self) -> None:
        assert flagged(site(revision_date="2026-03-04"))["revision_date"][1] == "of a date not known"
        assert "revision_date" not in flagged(site(revision_date="2026-03-03")), "it may be tomorrow there already"

    def test_a_class_that_contradicts_its_number_makes_it_both(self) -> None:
        # UN 1830 is sulphuric acid with more than 51 % acid, class 8, packing group II (49 CFR 172.101).
        facts = site(NO_TO_ALL, un_number="1830", hazard_class="3", packing_group="III")
        found = only_drum(facts).product
        assert (found.hazard_class, found.subsidiary, found.packing_group) == ("3", ("8",), "II")
        assert {Trait.FLAMMABLE, Trait.CORROSIVE, Trait.ACID} <= found.known_traits
        assert flagged(facts)["hazard_class"][1] == "the classes of both: the worse is acted on"

    def test_a_class_that_agrees_is_no_contradiction(self) -> None:
        facts = site(un_number="1830", hazard_class="8", packing_group="III")
        assert "hazard_class" not in flagged(facts)
        assert only_drum(facts).product.packing_group == "III", "the group hangs on the strength: the sheet's own"

    def test_no_class_on_the_sheet_takes_the_one_of_the_number(self) -> None:
        assert "8" in product(un_number="1830").subsidiary

    def test_the_catalogue_overrules_a_no_about_one_substance_and_not_about_a_mixture(self) -> None:
        # Toluene (108-88-3) burns; a sheet with several CAS numbers is one of a mixture.
        alone = site(NO_TO_ALL, cas_numbers=["108-88-3"])
        assert Trait.FLAMMABLE in only_drum(alone).product.known_traits
        assert "answers" in flagged(alone)
        mixed = site(NO_TO_ALL, cas_numbers=["108-88-3", "7732-18-5"])
        assert Trait.FLAMMABLE not in only_drum(mixed).product.traits
        assert "answers" not in flagged(mixed)

    @pytest.mark.parametrize(
        ("name", "near"),
        [
            ("Sodium hydrosulphide", "sodium-hydrosulphite"),
            ("Acetone technical", "acetone"),
            ("Toluol", "toluene"),
            ("Nitric acid blend", "nitric-acid-68"),
            ("Example blend 7", None),
        ],
    )
    def test_a_name_near_to_the_catalogue_is_warned_of(self, name: str, near: str | None) -> None:
        facts = site(name=name)
        keys = [found.key for found, _ in near_names(name)]
        assert (near in keys) if near else not keys
        assert ("name" in flagged(facts)) is (near is not None)
        assert only_drum(facts).product.confusable_with == tuple(keys)

    def test_a_name_that_is_taken_carries_its_supplier(self) -> None:
        assert product(name="Acetone", supplier="Example Supplies").name == "Acetone (Example Supplies)"
        build = SurveyBuilder()
        build.floor()
        sheets = [
            build.sheet_product("Mix 3"),
            build.sheet_product("Mix 3", supplier="Other"),
            build.sheet_product("mix 3"),
        ]
        build.pallet("P1", (3, 3))
        for number, sheet in enumerate(sheets):
            build.drum(f"P1-{number}", sheet_product_id=sheet.id)
        drums = gather(build.survey(), as_of=TODAY).floors[0].pallets[0].drums
        assert len({drum.product.name.casefold() for drum in drums}) == 3


class TestTraits:
    """Yes, no and unknown; the worst of what contradicts itself."""

    def test_nothing_answered_is_everything_presumed(self) -> None:
        found = product()
        assert found.presumed == ASKED == found.traits
        assert not found.known_traits

    def test_all_answered_no_is_nothing(self) -> None:
        found = product(NO_TO_ALL)
        assert (found.traits, found.presumed) == (frozenset(), frozenset())

    def test_each_answer(self) -> None:
        found = product({"acid": "yes", "base": "no", "oxidiser": "unknown"})
        assert Trait.ACID in found.known_traits
        assert Trait.BASE not in found.traits
        assert Trait.OXIDISER in found.presumed

    @pytest.mark.parametrize(
        ("answers", "known", "has"),
        [
            (["yes", "no"], True, True),
            (["no", "unknown"], False, True),
            (["no", "no"], False, False),
        ],
    )
    def test_answers_given_twice_count_by_the_worst(self, answers: list[str], known: bool, has: bool) -> None:  # noqa: FBT001
        found = product(answers=[{"trait": "acid", "answer": each} for each in answers])
        assert (Trait.ACID in found.known_traits, Trait.ACID in found.traits) == (known, has)

    @pytest.mark.parametrize(
        ("fields", "trait"),
        [
            ({"hazard_class": "3"}, Trait.FLAMMABLE),
            ({"hazard_class": "8", "subsidiary": ["5.1"]}, Trait.OXIDISER),
            ({"hazard_class": "5.2"}, Trait.ORGANIC_PEROXIDE),
            ({"flash_point": {"value": 60, "unit": "degC"}}, Trait.FLAMMABLE),
            ({"flash_point": {"value": 60, "unit": "degC", "bound": "at most"}}, Trait.FLAMMABLE),
        ],
    )
    def test_a_no_against_class_or_flash_point_is_flagged_and_counts_as_yes(
        self, fields: dict[str, Any], trait: Trait
    ) -> None:
        facts = site(NO_TO_ALL, **fields)
        assert trait in only_drum(facts).product.known_traits
        assert flagged(facts)["answers"][1] == "yes"

    @pytest.mark.parametrize("bound", ["exactly", "at least"])
    def test_a_higher_flash_point_leaves_a_no_standing(self, bound: str) -> None:
        facts = site(NO_TO_ALL, flash_point={"value": 61, "unit": "degC", "bound": bound})
        assert Trait.FLAMMABLE not in only_drum(facts).product.traits
        assert "answers" not in flagged(facts)

    def test_a_class_means_what_every_catalogue_row_of_it_says(self) -> None:
        for row in catalogue().products:
            for one in {row.hazard_class, *row.subsidiary} & set(CLASS_MEANS):
                assert CLASS_MEANS[str(one)] in row.traits, (row.key, one)

    @pytest.mark.parametrize(
        ("answers", "density", "found"),
        [
            ({}, 870, set()),
            ({"mixes with water": "no"}, 870, set()),
            ({"mixes with water": "no", "partly mixes with water": "no"}, 870, {Trait.FLOATS}),
            ({"mixes with water": "no", "partly mixes with water": "no"}, 1200, {Trait.SINKS}),
            ({"mixes with water": "no", "partly mixes with water": "no"}, None, set()),
            ({"mixes with water": "yes", "floats on water": "yes"}, 870, set()),
        ],
    )
    def test_floating_is_worked_out_and_never_taken_on_trust(
        self, answers: dict[str, str], density: float | None, found: set[Trait]
    ) -> None:
        given = None if density is None else {"value": density, "unit": "kg/m3"}
        assert product(answers, density=given).traits & NOT_PRESUMED == found


class TestDrum:
    """What a drum of it is taken as."""

    def test_an_unknown_form_runs_and_a_solid_does_not(self) -> None:
        assert only_drum(site()).fill_l > 0
        solid = only_drum(site(form="solid"))
        assert (solid.fill_l, solid.product.form) == (0, Form.SOLID)

    def test_two_products_named_are_none(self) -> None:
        build = SurveyBuilder()
        build.floor()
        sheet = build.sheet_product("Example blend 7")
        build.pallet("P1", (3, 3))
        build.drum("P1-1", "toluene", sheet_product_id=sheet.id)
        facts = gather(build.survey(), as_of=TODAY)
        assert not only_drum(facts).product.identified
        assert flagged(facts)["product"] == (
            "toluene and, from its safety data sheet, Example blend 7",
            "not identified",
        )

    def test_a_label_that_contradicts_the_content_names_none(self) -> None:
        build = SurveyBuilder()
        build.floor()
        sheet = build.sheet_product("Example blend 7")
        build.pallet("P1", (3, 3))
        build.drum("P1-1", sheet_product_id=sheet.id, label="contradicts content")
        assert not only_drum(gather(build.survey(), as_of=TODAY)).product.identified
