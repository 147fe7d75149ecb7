from math import exp, inf, log, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import GeometryRefused
from geometry.room_air import (
    LIMIT_SHARES,
    ROOM_AVERAGE,
    Room,
    all_vapour_share,
    purge_changes,
    purge_s,
    room_of_changes,
    share_at,
    steady_share,
    time_to_share_s,
    times_to_limit_s,
    vapour_m3_s,
)

STILL = Room(100, 0, 1)


def test_a_room_by_hand() -> None:
    # 360 m³ at 1 change an hour are 0.1 m³/s; 1 L/s of vapour comes to 1 %, half of that after 3600 s × ln 2.
    room = room_of_changes(360, 1, mixing=1)
    assert (room.volume_m3, room.air_m3_s, room.mixing) == (360, pytest.approx(0.1), 1)
    assert steady_share(room, 0.001) == pytest.approx(0.01)
    assert share_at(room, 0.001, [0, 3600]).tolist() == pytest.approx([0, 0.01 * (1 - exp(-1))])
    assert time_to_share_s(room, 0.001, 0.005) == pytest.approx(3600 * log(2))
    # Badly mixed, half the air does its work: twice as much in the end, and sooner.
    poor = room_of_changes(360, 1, mixing=0.5)
    assert steady_share(poor, 0.001) == pytest.approx(0.02)
    assert time_to_share_s(poor, 0.001, 0.005) < time_to_share_s(room, 0.001, 0.005)


def test_much_vapour_makes_room_for_itself() -> None:
    room = Room(100, 0.1, 1)
    assert steady_share(room, 0.1) == pytest.approx(1)
    assert steady_share(room, 0.1, large=True) == pytest.approx(0.5)
    assert share_at(room, 0.1, 1000, large=True) == pytest.approx(0.5 * (1 - exp(-2)))
    assert time_to_share_s(room, 0.1, 0.5, large=True) == inf
    assert time_to_share_s(room, 0.1, 0.25, large=True) == pytest.approx(500 * log(2))


def test_without_fresh_air_it_only_rises() -> None:
    assert steady_share(STILL, 0.01) == inf
    assert share_at(STILL, 0.01, 100) == pytest.approx(0.01)
    assert time_to_share_s(STILL, 0.01, 0.02) == pytest.approx(200)
    assert purge_s(STILL, 0.2, 0.1) == inf
    assert steady_share(STILL, 0) == 0
    assert time_to_share_s(STILL, 0, 0.01) == inf
    assert share_at(STILL, 0, [0, 10], large=True).tolist() == [0, 0]
    assert purge_s(STILL, 0.2, 0.2) == 0


def test_times_to_parts_of_the_limit_come_with_a_warning_to_print() -> None:
    room = room_of_changes(360, 1, mixing=1)
    times = times_to_limit_s(room, 0.001, 0.025)
    assert tuple(times) == LIMIT_SHARES
    assert times[0.10] == pytest.approx(time_to_share_s(room, 0.001, 0.0025))
    assert times[1.0] == inf
    assert "not safety" in ROOM_AVERAGE
    assert "on the floor" in ROOM_AVERAGE


def test_volume_of_vapour() -> None:
    # A mole is 24.06 L at 20 °C.
    assert vapour_m3_s(0.05808, molar_mass_kg_mol=0.05808, temperature_k=293.15) * 1000 == pytest.approx(
        24.06, rel=1e-3
    )
    assert all_vapour_share(0, 100, molar_mass_kg_mol=0.1, temperature_k=293) == 0


@pytest.mark.parametrize(
    ("refused", "message"),
    [
        (lambda: Room(0, 1, 1), "volume of room: expected more than 0 m³, found 0"),
        (lambda: Room(nan, 1, 1), "volume of room: .* found nan"),
        (lambda: Room(100, -1, 1), "fresh air: expected 0 or more, found -1"),
        (lambda: Room(100, 1, 0), "mixing factor: expected more than 0 and at most 1, found 0"),
        (lambda: Room(100, 1, 1.1), "mixing factor: .* found 1.1"),
        (lambda: room_of_changes(100, nan, mixing=1), "air changes: expected 0 or more, found nan"),
        (lambda: vapour_m3_s(-1, molar_mass_kg_mol=0.1, temperature_k=293), "vapour: expected 0 or more, found -1"),
        (lambda: vapour_m3_s(1, molar_mass_kg_mol=0, temperature_k=293), "molar mass: expected more than 0, found 0"),
        (lambda: vapour_m3_s(1, molar_mass_kg_mol=0.1, temperature_k=0), "temperature: expected more than 0, found 0"),
        (
            lambda: all_vapour_share(1, 0, molar_mass_kg_mol=0.1, temperature_k=293),
            "volume of room: expected more than 0 m³, found 0",
        ),
        (lambda: steady_share(STILL, nan), "vapour given off: expected 0 or more, found nan"),
        (lambda: share_at(STILL, 1, [0, -1]), "time: expected 0 s or more, found"),
        (lambda: share_at(STILL, 1, inf), "time: expected 0 s or more, found inf"),
        (lambda: time_to_share_s(STILL, 1, -0.1), "share of vapour: expected 0 or more, found -0.1"),
        (lambda: times_to_limit_s(STILL, 1, 0), "lower flammable limit: expected more than 0 and at most 1, found 0"),
        (lambda: times_to_limit_s(STILL, 1, 2.5), "lower flammable limit: .* found 2.5"),
        (lambda: purge_changes(0.1, 0.2, mixing=1), "expected one that falls to more than 0, found 0.1 to 0.2"),
        (lambda: purge_changes(0.1, 0, mixing=1), "expected one that falls to more than 0, found 0.1 to 0"),
        (lambda: purge_changes(nan, 0.1, mixing=1), "share of vapour: expected 0 or more, found nan"),
        (lambda: purge_changes(0.2, 0.1, mixing=0), "mixing factor: .* found 0"),
    ],
)
def test_a_room_that_cannot_be_is_refused(refused, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(GeometryRefused, match=message):
        refused()


LAW = settings(max_examples=60, derandomize=True, deadline=None)
ROOMS = st.builds(Room, st.floats(10, 10_000), st.floats(0, 20), st.floats(0.1, 1))


@LAW
@given(ROOMS, st.floats(1e-5, 0.5), st.floats(0.001, 0.999), st.booleans())
def test_time_and_share_are_one_the_inverse_of_the_other(
    room: Room,
    leak: float,
    part: float,
    large: bool,  # noqa: FBT001
) -> None:
    share = part * min(steady_share(room, leak, large=large), 1.0)
    time = time_to_share_s(room, leak, share, large=large)
    assert share_at(room, leak, time, large=large) == pytest.approx(share, rel=1e-6)


@LAW
@given(ROOMS, st.floats(1e-5, 0.5))
def test_the_dilute_form_is_the_cautious_one_and_poor_mixing_worse(room: Room, leak: float) -> None:
    times = np.linspace(0, 7200, 20)
    dilute, large = share_at(room, leak, times), share_at(room, leak, times, large=True)
    poor = share_at(Room(room.volume_m3, room.air_m3_s, room.mixing / 2), leak, times)
    assert np.all(large <= dilute * (1 + 1e-9))
    assert np.all(dilute <= poor * (1 + 1e-9))
    assert np.all(np.diff(large) >= -1e-12)
    assert np.all(large <= 1)
