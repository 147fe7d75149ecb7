"""Two keys of one drum: agree, contradict, cannot tell.

A label read is one source; two that agree identify, two that differ are neither (a meaning of this program).
"""

from itertools import combinations

import pytest

from survey.catalogue.products import catalogue
from survey.catalogue.second_key import Agreement, Checked, check_keys, tells_apart

AGREE, CONTRADICT, CANNOT_TELL = Agreement


def checked(first: str, second: str) -> Checked:
    return check_keys(catalogue(), first, second)


@pytest.mark.parametrize(
    ("first", "second", "agreement"),
    [
        ("sodium hydrosulphite", "1384", AGREE),
        ("sodium hydrosulphite", "UN 1384", AGREE),
        ("sodum hydrosulfite", "7775-14-6", AGREE),
        ("sodium-hydrosulphite", "4.2", AGREE),
        ("1384", "7775-14-6", AGREE),
        ("toluene", "class 3", CANNOT_TELL),  # ethylbenzene is class 3 too
        ("tetrahydrofuran", "class 3", AGREE),
        ("sodium hydrosulphite", "8", CONTRADICT),
        ("sodium hydrosulphite", "2837", CONTRADICT),  # the hydrogen sulphate solution
        ("sodium hydrosulphite", "7681-38-1", CONTRADICT),  # hydrogen sulphate
        ("toluene", "UN 1307", CONTRADICT),
        ("toluene", "9999", CONTRADICT),
        ("toluene", "67-63-0", CONTRADICT),
        ("hydraulic oil", "3", CONTRADICT),
        ("sodium-hydrogen-sulphate", "4.2", CONTRADICT),
        ("hydrofluoric acid", "8", CANNOT_TELL),  # so is hydrochloric acid
        ("hydrofluoric acid", "1790", AGREE),
        ("hydrogen peroxide", "2014", CANNOT_TELL),  # two strengths
        ("hydrogen peroxide", "2015", AGREE),  # the strongest alone
        ("hydrogen-peroxide-35", "2014", AGREE),
        ("toluene", "1993", CANNOT_TELL),  # a collective entry
        ("waste solvent", "123-86-4", CANNOT_TELL),  # of one part of it
        ("toluene", "108-88-4", CANNOT_TELL),  # a digit misread
        ("toluene", "xylene", CANNOT_TELL),
        ("1384", "UN1384", CANNOT_TELL),
        ("unidentified", "1384", CANNOT_TELL),
        ("xqzzkv", "1384", CANNOT_TELL),
        ("xqzzkv", "0000", CANNOT_TELL),
    ],
)
def test_two_keys(first: str, second: str, agreement: Agreement) -> None:
    found = checked(first, second)
    assert found.agreement is agreement, found.words
    assert found.words.endswith(".")
    assert (len(found.fits) == 1) >= (agreement is AGREE)
    assert agreement is not CONTRADICT or found.fits == ()
    assert agreement is not CONTRADICT or "counts as not identified" in found.words


def test_the_order_of_the_keys_changes_nothing() -> None:
    texts = ["1384", "7775-14-6", "sodium hydrosulphite", "8", "hydrogen peroxide", "2014", "1993", "xqzzkv"]
    for one, other in combinations(texts, 2):
        there, back = checked(one, other), checked(other, one)
        assert (there.agreement, {*there.fits}) == (back.agreement, {*back.fits}), (one, other)


def test_a_products_own_numbers_never_contradict_it() -> None:
    for product in catalogue().products:
        for number in (product.un_number, *product.cas_numbers, product.hazard_class):
            if number is not None:
                found = checked(product.key, number)
                assert found.agreement is not CONTRADICT, found.words
                assert product.key in found.fits, found.words


def test_a_number_of_what_a_product_is_taken_for_never_agrees_with_it() -> None:
    tried = 0
    for pair in catalogue().confusables:
        for key, other_key in (pair.keys, pair.keys[::-1]):
            product, other = catalogue().by_key[key], catalogue().by_key[other_key]
            for number in (other.un_number, *other.cas_numbers, other.hazard_class):
                own = (product.un_number, *product.cas_numbers)
                if number is not None and number not in own:
                    tried += 1
                    assert checked(key, number).agreement is not AGREE, (key, number)
    assert tried > 200


def test_a_key_that_would_fit_the_other_of_a_confusable_pair_too_proves_nothing() -> None:
    found = checked("hydrofluoric-acid", "8")
    assert "Hydrochloric acid" in found.words
    assert "UN number: 1790 or 1789" in found.words


@pytest.mark.parametrize(
    ("one", "other", "ways"),
    [
        ("hydrogen-peroxide-35", "hydrogen-peroxide-50", ("strength on the label or the safety data sheet",)),
        (
            "isopropanol",
            "n-propanol",
            ("UN number: 1219 or 1274", "CAS number: 67-63-0 or 71-23-8"),
        ),
        (
            "hydraulic-oil",
            "used-oil",
            ("CAS number: 64742-54-7 or 70514-12-4",),
        ),
        (
            "paint-flammable",
            "paint-flammable",
            ("nothing on record: only the safety data sheet or a sample tells them apart",),
        ),
    ],
)
def test_what_tells_two_products_apart(one: str, other: str, ways: tuple[str, ...]) -> None:
    assert tells_apart(catalogue().by_key[one], catalogue().by_key[other]) == ways
