"""Mass of a drum and what a hand may lift."""

import pytest

from reports.response.handling import gross_mass, gross_mass_kg, lift_words
from tests.reports.response.situations import DRUM_L, drum, known_size


def test_gross_mass_by_hand() -> None:
    # 208.198 L of 50 % caustic at 1525 kg/m3 is 317.5 kg; plastic drum 25 lb, 11.3 kg
    mass = gross_mass(drum("sodium-hydroxide-50", "1H1"))
    assert mass.net_kg == pytest.approx(317.5, abs=0.1)
    assert mass.kg == pytest.approx(317.5 + 11.3, abs=0.1)
    assert gross_mass_kg(drum("sodium-hydroxide-50", "1H1")) == mass.kg


def test_recorded_net_mass_is_taken_as_it_is() -> None:
    mass = gross_mass(drum("sodium-hydrosulphite", "1A2", net_mass_kg=110.0, fill_l=0.0))
    assert mass.net_kg == 110.0
    assert mass.certain


def test_solid_without_net_mass_counts_as_a_full_drum_up_to_its_permitted_mass() -> None:
    heavy = gross_mass(drum("sodium-hydrosulphite", "1A2", fill_l=0.0))
    assert (heavy.net_kg, heavy.certain) == (400.0, False)
    light = gross_mass(drum("benzoyl-peroxide-paste", "1G", fill_l=0.0))
    assert light.net_kg == pytest.approx(DRUM_L * 1.2, abs=0.1)
    assert gross_mass(drum("sulphur", "1G", fill_l=0.0, empty_uncleaned=True)).net_kg == 0


def test_unknown_density_is_the_heaviest_drummed_liquid() -> None:
    nameless, acid = gross_mass(drum("unidentified")), gross_mass(drum("sulphuric-acid-93-98"))
    assert nameless.net_kg == acid.net_kg
    assert not nameless.certain
    assert acid.certain


def test_unknown_fill_is_not_certain() -> None:
    assert not gross_mass(drum(fill_known=False)).certain


def test_part_full_drum_is_lighter_and_empty_one_is_its_tare() -> None:
    assert gross_mass_kg(drum(fill_l=100.0)) < gross_mass_kg(drum())
    empty = gross_mass(drum(fill_l=0.0, empty_uncleaned=True))
    assert empty.kg == empty.tare_kg


@pytest.mark.parametrize(
    ("code", "litres", "size"),
    [
        ("1A1", 208.2, "55 gal (208 L) drum"),
        ("1H1", 220.0, "55 gal (208 L) drum"),
        ("1A1", 113.6, "30 gal (114 L) drum"),
        ("1A1", 150.0, "55 gal (208 L) drum"),
        ("3H1", 25.0, "small container"),
        ("1H1", 60.0, "60 L drum"),
    ],
)
def test_size_is_the_next_larger_one(code: str, litres: float, size: str) -> None:
    assert known_size(drum(code=code, capacity_l=litres)).size == size


def test_no_hand_lift_above_the_load_constant() -> None:
    assert "no hand lift" in lift_words(23.1)
    assert "no hand lift" not in lift_words(23.0)
    assert "NIOSH equation" in lift_words(10)
