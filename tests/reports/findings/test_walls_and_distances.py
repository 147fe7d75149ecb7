"""Walls that do not suit, ammonium nitrate's own distance, and walls that do not stand in place of distance."""

import pytest

from reports.assessment import Kind
from survey.tables.floor import WallFields
from tests.reports.judged import a_store, judged, of_rule, stock


class TestWalls:
    def test_nitric_acid_in_carbon_steel(self) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "nitric-acid-68")
        (found,) = of_rule(judged(build), "wall-does-not-suit")
        assert found.kind is Kind.REST
        assert "1 drum named Nitric acid 68 %" in found.sentence
        assert "steel" in found.sentence
        assert "either the name is wrong" in found.reason.lower()

    def test_the_same_in_stainless_steel(self) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "nitric-acid-68", stainless=True)
        assert of_rule(judged(build), "wall-does-not-suit") == []

    def test_what_was_marked_by_who_saw_it_is_shown(self) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "toluene", signs=["drum type does not suit the product named"])
        (found,) = of_rule(judged(build), "wall-does-not-suit")
        assert "who saw them marked" in found.reason.lower()

    def test_the_same_without_the_mark(self) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "toluene")
        assert of_rule(judged(build), "wall-does-not-suit") == []


class TestAmmoniumNitrate:
    @pytest.mark.parametrize(("x", "raised"), [(13.2, True), (15.6, False)])
    def test_nearer_than_thirty_feet(self, x: float, *, raised: bool) -> None:
        build = a_store()
        stock(build, "P1", (3, 5), "ammonium-nitrate", container_code="1G")
        stock(build, "P2", (x, 5), "toluene")
        found = of_rule(judged(build), "ammonium-nitrate-distance")
        assert bool(found) is raised
        for each in found:
            assert each.kind is Kind.OTHER_PAIR
            assert "nearer than 9.1 m to Toluene (P2)" in each.sentence
            assert "fire rating of walls is not on record" in each.reason

    def test_beside_what_it_is_not_kept_from(self) -> None:
        build = a_store()
        stock(build, "P1", (3, 5), "ammonium-nitrate", container_code="1G")
        stock(build, "P2", (6, 5), "potassium-nitrate", container_code="1G")
        assert of_rule(judged(build), "ammonium-nitrate-distance") == []


class TestPartitions:
    @pytest.mark.parametrize(
        ("meets", "said"),
        [
            ("unknown", "A wall stands between them: whether it is noncombustible and rises 457 mm"),
            ("no", "A wall stands between them: it does not meet the rule"),
            (None, ""),
        ],
    )
    def test_wall_between_two_that_react(self, meets: str | None, said: str) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "sodium-nitrate", container_code="1G")
        stock(build, "P2", (8, 5), "zinc-dust", container_code="1A2")
        if meets:
            build.add(
                "walls",
                WallFields,
                name="Wall",
                line=[(6.5, 1), (6.5, 9)],
                tight_at_floor="no",
                meets_partition_rule=meets,
            )
        (found,) = (each for each in judged(build).findings if each.kind is Kind.OTHER_PAIR)
        assert "Closer than the 6.1 m" in found.reason
        assert ("A wall stands between" in found.reason) is bool(meets)
        assert said in found.reason

    def test_partition_that_meets_the_rule_ends_it(self) -> None:
        build = a_store()
        stock(build, "P1", (5, 5), "sodium-nitrate", container_code="1G")
        stock(build, "P2", (8, 5), "zinc-dust", container_code="1A2")
        build.add(
            "walls",
            WallFields,
            name="Wall",
            line=[(6.5, 1), (6.5, 9)],
            tight_at_floor="no",
            meets_partition_rule="yes",
        )
        assert not [each for each in judged(build).findings if each.kind is Kind.OTHER_PAIR]
