"""All on record of a product: side by side, with units, sources, marks, and what is to be verified."""

from survey.catalogue.product import INHIBITOR_DATE_MEANS, Mark, Product
from survey.catalogue.products import UNIDENTIFIED, catalogue
from survey.catalogue.properties import PROPERTIES
from survey.catalogue.record import ProductRecord, product_record


def record(key: str) -> ProductRecord:
    return product_record(catalogue(), catalogue().by_key[key])


def test_several_sources_stand_side_by_side_and_the_cautious_one_is_acted_on_with_its_reason() -> None:
    """Carbon disulphide: lower limit 0.6 in IEC 60079-20-1 (2010), 1.3 in NFPA 497 (2008), both read."""
    limit = next(each for each in record("carbon-disulphide").values if each.property == "lower flammable limit")
    assert {0.6, 1.3} <= {value.value for value in limit.all}
    assert (limit.acted_on.value, limit.acted_on.source) == (0.6, "IEC 60079-20-1 (2010)")
    assert (limit.cautious, limit.because) == ("lowest", "less vapour is enough to burn")
    product = catalogue().by_key["carbon-disulphide"]
    assert product.lower_flammable_vol_pct is not None
    assert product.lower_flammable_vol_pct.value == limit.acted_on.value


def test_what_was_recalled_is_to_be_verified_and_nothing_else() -> None:
    counts = {True: 0, False: 0}
    for product in (*catalogue().products, UNIDENTIFIED):
        found = product_record(catalogue(), product)
        marked = [
            (found.identity_verify, product.identity_mark),
            *((value.verify, value.mark) for prop in found.values for value in (prop.acted_on, *prop.all)),
            *((trait.verify, trait.mark) for trait in found.traits),
            *((rating.verify, rating.rating.mark) for rating in found.nfpa_704),
            *((storage.verify, storage.limit.mark) for storage in found.storage_limits),
        ]
        for verify, mark in marked:
            assert verify is (mark is Mark.RECALLED), product.key
            counts[verify] += 1
    assert min(counts.values()) > 500


def test_a_record_leaves_no_property_out() -> None:
    for product in (*catalogue().products, UNIDENTIFIED):
        found = product_record(catalogue(), product)
        assert sorted([*found.unknown, *(value.property for value in found.values)]) == sorted(PROPERTIES)
        assert {trait.trait for trait in found.traits} == product.traits


def test_a_drum_that_nobody_identified_says_that_a_blank_is_no_clearance() -> None:
    found = record("unidentified")
    assert len(found.unknown) == len(PROPERTIES)
    assert "never harmless" in found.worst_case[0]
    assert "stop rule" in found.worst_case[-1]
    assert [product.key for product in catalogue().products if _worst(product)] == []


def _worst(product: Product) -> bool:
    return bool(product_record(catalogue(), product).worst_case)


def test_what_water_does_and_what_the_inhibitor_date_means() -> None:
    assert record("toluene").with_water == ("floats on water",)
    assert record("dichloromethane").with_water == ("partly mixes with water", "sinks in water")
    assert record("waste-solvent-flammable").with_water == ()
    assert record("styrene-stabilised").inhibitor_date_means == INHIBITOR_DATE_MEANS
    assert record("toluene").inhibitor_date_means is None
    assert [storage.limit.months for storage in record("styrene-stabilised").storage_limits] == [12, 6]
