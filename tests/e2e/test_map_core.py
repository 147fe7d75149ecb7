"""The pure part of the map's scripts, run where it runs for people: in the browser."""

from typing import Any

import pytest

from app.web.static_files import StaticFiles
from tests.e2e.conftest import Open, Service, Visit

pytestmark = [pytest.mark.e2e, pytest.mark.xdist_group("browser")]

WHOLE = {"x": 0, "y": 0, "width": 400, "height": 300}


@pytest.fixture
def core(visit: Open, service: Service) -> Visit:
    return visit(service.address)


def call(core: Visit, module: str, function: str, *arguments: Any) -> Any:
    address = StaticFiles().address(f"js/core/{module}.js")
    return core.page.evaluate(
        "async ([address, name, args]) => (await import(address))[name](...args)",
        [address, function, list(arguments)],
    )


@pytest.mark.parametrize("text", ["", "0 0 10", "0 0 10 x", "0 0 0 10", "0 0 10 -1"])
def test_a_view_box_that_is_none_is_refused(core: Visit, text: str) -> None:
    with pytest.raises(Exception, match="not a view box"):
        call(core, "view_box", "parseBox", text)


def test_a_view_box_is_read_and_written(core: Visit) -> None:
    box = {"x": -1.5, "y": 2, "width": 400, "height": 300.25}
    assert call(core, "view_box", "parseBox", " -1.5,2  400 300.25 ") == box
    assert call(core, "view_box", "writeBox", box) == "-1.5 2 400 300.25"


def test_the_spot_one_looks_closer_at_stays_where_it_is(core: Visit) -> None:
    """Worked by hand: at twice the size, a spot a quarter in from the left still lies a quarter in from the left."""
    view = call(core, "view_box", "zoomed", WHOLE, WHOLE, 2, {"x": 100, "y": 150})
    assert view == {"x": 50, "y": 75, "width": 200, "height": 150}


def test_the_view_never_leaves_the_drawing(core: Visit) -> None:
    view = call(core, "view_box", "zoomed", WHOLE, WHOLE, 2, {"x": 0, "y": 0})
    assert call(core, "view_box", "moved", WHOLE, view, 9, 9) == {"x": 200, "y": 150, "width": 200, "height": 150}
    assert call(core, "view_box", "moved", WHOLE, view, -9, -9) == {"x": 0, "y": 0, "width": 200, "height": 150}
    assert call(core, "view_box", "zoomed", WHOLE, view, 0.01, {"x": 0, "y": 0}) == WHOLE


def test_one_cannot_look_closer_without_end(core: Visit) -> None:
    view = call(core, "view_box", "zoomed", WHOLE, WHOLE, 1e9, {"x": 200, "y": 150})
    assert call(core, "view_box", "depth", WHOLE, view) == pytest.approx(24)


def test_a_spot_out_of_sight_is_brought_into_it(core: Visit) -> None:
    view = {"x": 0, "y": 0, "width": 100, "height": 75}
    held = call(core, "view_box", "holding", WHOLE, view, {"x": 300, "y": 200})
    assert held["x"] < 300 < held["x"] + held["width"]
    assert held["y"] < 200 < held["y"] + held["height"]
    assert call(core, "view_box", "holding", WHOLE, view, {"x": 50, "y": 40}) == view


PLACES = [{"x": 0, "y": 0, "id": "a"}, {"x": 30, "y": 0, "id": "b"}, {"x": 30, "y": 30, "id": "c"}]


def test_a_tap_means_the_nearest_place_within_a_finger(core: Visit) -> None:
    assert call(core, "nearest", "nearest", PLACES, {"x": 20, "y": 2}, 22)["id"] == "b"
    assert call(core, "nearest", "nearest", PLACES, {"x": 60, "y": 60}, 22) is None
    assert call(core, "nearest", "nearest", [], {"x": 0, "y": 0}, 22) is None


@pytest.mark.parametrize(
    ("start", "heading", "reached"),
    [(0, (1, 0), "b"), (1, (0, 1), "c"), (1, (-1, 0), "a"), (0, (-1, 0), None), (2, (0, -1), "b"), (0, (0, 1), "c")],
)
def test_an_arrow_key_goes_to_the_next_place_that_way(
    core: Visit, start: int, heading: tuple[int, int], reached: str | None
) -> None:
    address = StaticFiles().address("js/core/nearest.js")
    found = core.page.evaluate(
        """async ([address, places, start, x, y]) =>
             (await import(address)).nextTowards(places, places[start], { x, y })?.id ?? null""",
        [address, PLACES, start, *heading],
    )
    assert found == reached


def test_an_arrow_key_does_not_go_to_what_lies_aside(core: Visit) -> None:
    address = StaticFiles().address("js/core/nearest.js")
    found = core.page.evaluate(
        "async (address) => { const places = [{ x: 0, y: 0 }, { x: 1, y: 50 }];"
        " return (await import(address)).nextTowards(places, places[0], { x: 1, y: 0 }); }",
        address,
    )
    assert found is None
