"""Lines and areas checked on the way in: what cannot be measured is refused by name."""

import math
from collections.abc import Sequence

import shapely
from shapely import LineString, Point, Polygon, affinity
from shapely.geometry.base import BaseGeometry

from geometry.errors import GeometryRefused

Coordinate = Sequence[float]


def point(coordinate: Coordinate, *, name: str = "point") -> Point:
    """Make a point from x and y.

    Parameters
    ----------
    coordinate : sequence of float
        x and y [m].
    name : str
        What the point is, for the message.

    Returns
    -------
    Point

    Raises
    ------
    GeometryRefused
        If there are not exactly two numbers or one is not finite.
    """
    return Point(_numbers(coordinate, name))


def line(coordinates: Sequence[Coordinate], *, name: str = "line") -> LineString:
    """Make a line of two or more corners.

    Parameters
    ----------
    coordinates : sequence of (x, y)
        Corners in order [m]. A corner repeated at once is taken once.
    name : str
        What the line is, for the message.

    Returns
    -------
    LineString

    Raises
    ------
    GeometryRefused
        If a number is not finite or fewer than two different corners remain. A line may cross itself.
    """
    corners = _without_repeats([_numbers(corner, name) for corner in coordinates])
    if len(corners) < 2:
        raise GeometryRefused(f"{name}: expected at least 2 different corners, found {len(corners)}")
    return LineString(corners)


def trace(coordinates: Sequence[Coordinate], *, name: str = "trace") -> Point | LineString:
    """Make a point from one corner and a line from more: how a gully and a trench are recorded.

    Parameters
    ----------
    coordinates : sequence of (x, y)
        One or more corners [m].
    name : str
        What is traced, for the message.

    Returns
    -------
    Point or LineString

    Raises
    ------
    GeometryRefused
        If there is no corner or a number is not finite.
    """
    corners = _without_repeats([_numbers(corner, name) for corner in coordinates])
    if not corners:
        raise GeometryRefused(f"{name}: expected at least 1 corner, found none")
    return Point(corners[0]) if len(corners) == 1 else LineString(corners)


def ring(coordinates: Sequence[Coordinate], *, name: str = "outline") -> Polygon:
    """Make an area from the corners of its edge, in either sense of turning.

    The edge closes by itself; a last corner that repeats the first is dropped.

    Parameters
    ----------
    coordinates : sequence of (x, y)
        Corners in order [m].
    name : str
        What the area is, for the message.

    Returns
    -------
    Polygon
        Anticlockwise, valid, with an area.

    Raises
    ------
    GeometryRefused
        If a number is not finite, fewer than three different corners remain, the edge crosses or touches itself, or
        the area is zero.
    """
    corners = _without_repeats([_numbers(corner, name) for corner in coordinates])
    if len(corners) > 1 and corners[0] == corners[-1]:
        corners.pop()
    if len(set(corners)) < 3:
        raise GeometryRefused(f"{name}: expected at least 3 different corners, found {len(set(corners))}")
    polygon = Polygon(corners)
    if polygon.area == 0 and LineString(corners).is_simple:
        raise GeometryRefused(f"{name}: expected an area, found corners that all lie on one line")
    return checked_area(polygon, name=name)


def checked_area(polygon: Polygon, *, name: str = "outline") -> Polygon:
    """Pass a polygon on, anticlockwise, if it is a proper area.

    Parameters
    ----------
    polygon : Polygon
        In metres.
    name : str
        What the area is, for the message.

    Returns
    -------
    Polygon

    Raises
    ------
    GeometryRefused
        If it is empty, not finite, crosses itself or has no area.
    """
    checked_shape(polygon, name=name)
    if not polygon.is_valid:
        raise GeometryRefused(f"{name}: expected an edge that does not cross itself, found {fault(polygon)}")
    if polygon.area <= 0:
        raise GeometryRefused(f"{name}: expected an area, found {polygon.area} m²")
    return shapely.orient_polygons(polygon)


def checked_shape(shape: BaseGeometry, *, name: str = "shape") -> BaseGeometry:
    """Pass any shape on if it is neither empty nor holds a number that is not finite.

    Parameters
    ----------
    shape : BaseGeometry
        In metres.
    name : str
        What the shape is, for the message.

    Returns
    -------
    BaseGeometry

    Raises
    ------
    GeometryRefused
        If it is empty or a coordinate is not finite.
    """
    if shape.is_empty:
        raise GeometryRefused(f"{name}: expected a shape, found an empty one")
    bad = [number for number in shapely.get_coordinates(shape).ravel().tolist() if not math.isfinite(number)]
    if bad:
        raise GeometryRefused(f"{name}: expected finite coordinates, found {bad[0]}")
    return shape


def fault(shape: BaseGeometry) -> str:
    """Say in words what is wrong with a shape and where.

    Parameters
    ----------
    shape : BaseGeometry
        In metres.

    Returns
    -------
    str
        For instance *Self-intersection[5 5]*; *Valid Geometry* where nothing is wrong.
    """
    return shapely.is_valid_reason(shape)


def footprint(centre: Coordinate, *, width_m: float, depth_m: float, turn_deg: float = 0.0) -> Polygon:
    """Outline of a pallet on the floor.

    Parameters
    ----------
    centre : (x, y)
        Centre [m].
    width_m, depth_m : float
        Sides along x and y before turning [m].
    turn_deg : float
        Turn, anticlockwise [degree].

    Returns
    -------
    Polygon

    Raises
    ------
    GeometryRefused
        If a number is not finite or a side is not above zero.
    """
    x, y = _numbers(centre, "centre of footprint")
    for name, side in (("width", width_m), ("depth", depth_m)):
        if not math.isfinite(side) or side <= 0:
            raise GeometryRefused(f"{name} of footprint: expected more than 0 m, found {side}")
    if not math.isfinite(turn_deg):
        raise GeometryRefused(f"turn of footprint: expected a finite angle, found {turn_deg}")
    straight = shapely.box(x - width_m / 2, y - depth_m / 2, x + width_m / 2, y + depth_m / 2)
    turned = straight if turn_deg == 0 else affinity.rotate(straight, turn_deg, origin=(x, y))
    return checked_area(Polygon(turned), name="footprint")


def disc(centre: Point, radius_m: float, *, quarter: int = 32) -> Polygon:
    """Disc as a polygon of the same area.

    Parameters
    ----------
    centre : Point
        In metres.
    radius_m : float
        Radius of the disc it stands for [m].
    quarter : int
        Corners per quarter turn.

    Returns
    -------
    Polygon
        Its corners lie up to 0.02 % outside the circle (32 to a quarter), so that its area is the circle's.

    Raises
    ------
    GeometryRefused
        If the radius is negative or not finite.
    """
    if not math.isfinite(radius_m) or radius_m < 0:
        raise GeometryRefused(f"radius: expected a finite length of 0 m or more, found {radius_m}")
    step = math.pi / (2 * quarter)
    return Polygon(centre.buffer(radius_m * math.sqrt(step / math.sin(step)), quad_segs=quarter))


def _numbers(coordinate: Coordinate, name: str) -> tuple[float, float]:
    if len(coordinate) != 2:
        raise GeometryRefused(f"{name}: expected x and y, found {len(coordinate)} numbers")
    x, y = float(coordinate[0]), float(coordinate[1])
    for number in (x, y):
        if not math.isfinite(number):
            raise GeometryRefused(f"{name}: expected finite coordinates, found {number}")
    return x, y


def _without_repeats(corners: list[tuple[float, float]]) -> list[tuple[float, float]]:
    return [corner for index, corner in enumerate(corners) if index == 0 or corner != corners[index - 1]]
