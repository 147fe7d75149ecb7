"""Products from safety data sheets: what the record takes, what it refuses, and units against an outside library."""

import json
from typing import Any

import pytest

from geometry.units import converted
from survey.bundle import dump, json_schema, parse
from survey.sheet_units import (
    DensityUnit,
    MolarMassUnit,
    PressureUnit,
    TemperatureUnit,
    Unit,
    ViscosityUnit,
    in_celsius,
    in_si,
)
from tests.survey.test_bundle import Document, document, only_fault

SMALL = {"name": "Example blend 7", "source": "document", "recorded_by": "R. Example"}

# Names of the units in pint, the outside source here; sheets tell relative density against water, which pint has not.
IN_PINT: dict[Unit, tuple[str, str]] = {
    DensityUnit.KG_M3: ("kilogram / meter**3", "kilogram / meter**3"),
    DensityUnit.G_CM3: ("gram / centimeter**3", "kilogram / meter**3"),
    DensityUnit.KG_L: ("kilogram / liter", "kilogram / meter**3"),
    DensityUnit.LB_US_GAL: ("pound / US_liquid_gallon", "kilogram / meter**3"),
    ViscosityUnit.PA_S: ("pascal * second", "pascal * second"),
    ViscosityUnit.MPA_S: ("millipascal * second", "pascal * second"),
    ViscosityUnit.CP: ("centipoise", "pascal * second"),
    ViscosityUnit.MM2_S: ("millimeter**2 / second", "meter**2 / second"),
    ViscosityUnit.CST: ("centistokes", "meter**2 / second"),
    PressureUnit.PA: ("pascal", "pascal"),
    PressureUnit.HPA: ("hectopascal", "pascal"),
    PressureUnit.KPA: ("kilopascal", "pascal"),
    PressureUnit.MBAR: ("millibar", "pascal"),
    PressureUnit.BAR: ("bar", "pascal"),
    PressureUnit.MMHG: ("mmHg", "pascal"),
    PressureUnit.PSI: ("psi", "pascal"),
    MolarMassUnit.G_MOL: ("gram / mole", "kilogram / mole"),
    MolarMassUnit.KG_MOL: ("kilogram / mole", "kilogram / mole"),
}


@pytest.mark.parametrize("unit", [*DensityUnit, *ViscosityUnit, *PressureUnit, *MolarMassUnit])
def test_units_are_those_of_pint(unit: Unit) -> None:
    if unit is DensityUnit.RELATIVE:
        assert in_si(0.87, unit) == 870
        return
    assert in_si(3.7, unit) == pytest.approx(converted(3.7, *IN_PINT[unit]), rel=1e-9)


@pytest.mark.parametrize(("unit", "name"), [("degC", "degree_Celsius"), ("degF", "degree_Fahrenheit"), ("K", "kelvin")])
def test_temperatures_are_those_of_pint(unit: str, name: str) -> None:
    for value in (-40.0, 0.0, 23.0, 451.0):
        assert in_celsius(value, TemperatureUnit(unit)) == pytest.approx(converted(value, name, "degree_Celsius"))


def with_sheet(**fields: Any) -> Document:
    plain = document()
    plain["sheet_products"] = [
        {
            "id": "11111111-1111-4111-8111-111111111111",
            "recorded_at": "2026-03-02T09:30:00Z",
            "site_id": plain["site"]["id"],
            **SMALL,
            **fields,
        }
    ]
    return plain


def spelled(plain: Document) -> bytes:
    return json.dumps(plain).encode()


@pytest.mark.parametrize(
    ("fields", "path", "expected"),
    [
        ({"density": {"value": 0, "unit": "kg/m3"}}, "density.value", "more than 0"),
        ({"density": {"value": -870, "unit": "kg/m3"}}, "density.value", "more than 0"),
        ({"density": {"value": float("nan"), "unit": "kg/m3"}}, "density.value", "a finite number"),
        ({"density": {"value": "870", "unit": "kg/m3"}}, "density.value", "a number"),
        ({"density": {"value": 870}}, "density.unit", "a value"),
        ({"viscosity": {"value": 0, "unit": "mPa.s"}}, "viscosity.value", "more than 0"),
        ({"vapour_pressure": {"value": 5, "unit": "atm"}}, "vapour_pressure.unit", "'Pa', 'hPa'"),
        (
            {"vapour_pressure": {"value": 5, "unit": "kPa", "temperature_c": -300}},
            "vapour_pressure.temperature_c",
            "at least -273.15",
        ),
        ({"flash_point": {"value": 23, "unit": "C"}}, "flash_point.unit", "'degC', 'degF' or 'K'"),
        ({"upper_flammable": {"value": 101}}, "upper_flammable.value", "at most 100"),
        ({"molar_mass": {"value": 0, "unit": "g/mol"}}, "molar_mass.value", "more than 0"),
        ({"answers": [{"trait": "acidic", "answer": "yes"}]}, "answers[0].trait", "'flammable'"),
        ({"answers": [{"trait": "acid", "answer": "maybe"}]}, "answers[0].answer", "'yes', 'no' or 'unknown'"),
        ({"answers": [{"trait": "acid"}]}, "answers[0].answer", "a value"),
        ({"packing_group": "IV"}, "packing_group", "'I', 'II' or 'III'"),
        ({"revision_date": "2026-13-01"}, "revision_date", "a date like"),
        ({"name": ""}, "name", "at least 1 character"),
        ({"reaction_groups": [0]}, "reaction_groups[0]", "at least 1"),
        ({"hazards": []}, "hazards", "no field of this name"),
    ],
)
def test_what_is_malformed_is_refused_with_its_place(fields: dict[str, Any], path: str, expected: str) -> None:
    fault = only_fault(spelled(with_sheet(**fields)))
    assert fault.path == f"sheet_products[0].{path}"
    assert expected in fault.expected


def test_what_is_implausible_is_kept_as_typed() -> None:
    typed = with_sheet(
        revision_date="2031-01-01",
        density={"value": 0.87, "unit": "kg/m3", "bound": "at most", "temperature_c": 20, "where": "9.1"},
        flash_point={"value": 180, "unit": "degC"},
        boiling_point={"value": 100, "unit": "degC"},
    )
    survey = parse(spelled(typed), max_bytes=1_000_000)
    (kept,) = survey.sheet_products
    assert (kept.density and kept.density.value, kept.density and kept.density.where) == (0.87, "9.1")
    assert parse(dump(survey), max_bytes=1_000_000) == survey


def test_nothing_is_answered_unless_somebody_did() -> None:
    survey = parse(spelled(with_sheet()), max_bytes=1_000_000)
    (product,) = survey.sheet_products
    assert (product.answers, product.form, product.hazard_class, product.density) == ([], "unknown", None, None)


def test_a_file_written_before_there_were_sheets_is_read() -> None:
    plain = document()
    del plain["sheet_products"]
    for drum in plain["drums"]:
        del drum["sheet_product_id"]
    survey = parse(spelled(plain), max_bytes=1_000_000)
    assert survey.sheet_products == []
    assert [drum.sheet_product_id for drum in survey.drums] == [None]
    assert [drum.product for drum in survey.drums] == ["toluene"]


def test_a_drum_names_a_product_of_its_own_site() -> None:
    plain = with_sheet()
    plain["drums"][0]["sheet_product_id"] = plain["sheet_products"][0]["id"]
    assert parse(spelled(plain), max_bytes=1_000_000).drums[0].sheet_product_id is not None
    plain["drums"][0]["sheet_product_id"] = plain["site"]["id"]
    fault = only_fault(plain)
    assert fault.path == "drums[0].sheet_product_id"
    assert fault.expected == "the id of one of sheet_products"


def test_the_schema_names_every_trait_that_may_be_answered() -> None:
    answer = json_schema()["$defs"]["Answer"]
    assert answer["required"] == ["trait", "answer"]
    assert "toxic by inhalation" in json_schema()["$defs"]["Trait"]["enum"]
