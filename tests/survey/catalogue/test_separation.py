"""Separation limits as published, in metres and in the feet and inches of their sources."""

import pytest

from survey.catalogue.separation import PARTITION_RISE, SEPARATION, separation_rules

FOOT_M = 0.3048


def test_separation_is_twenty_feet() -> None:
    assert SEPARATION.unit == "m"
    assert pytest.approx(20 * FOOT_M, abs=0.01) == SEPARATION.value


def test_partition_rises_eighteen_inches() -> None:
    assert PARTITION_RISE.unit == "mm"
    assert pytest.approx(18 * 25.4, abs=1) == PARTITION_RISE.value


def test_every_limit_says_what_it_asks_for() -> None:
    for meaning, limit in separation_rules().values():
        assert meaning
        assert limit.value > 0
