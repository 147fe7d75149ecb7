"""From metres on the floor to points on the sheet: what part is shown, how large, which way round."""

from dataclasses import dataclass
from math import cos, radians, sin

from shapely import Point, Polygon, box
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

_TURN_WHEN_TALLER = 1.25
"""A drawing this many times taller than wide is turned a quarter, because sheets are read wide."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle by its sides; y grows upward on the floor and downward on the sheet."""

    left: float
    low: float
    right: float
    high: float

    @property
    def width(self) -> float:
        """Length along x."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Length along y."""
        return self.high - self.low

    def grown(self, by: float) -> "Box":
        """Move each side outward."""
        return Box(self.left - by, self.low - by, self.right + by, self.high + by)

    def at_least(self, width: float, height: float) -> "Box":
        """Grow about the centre until both sides have their least length."""
        more_x = max(0.0, width - self.width) / 2
        more_y = max(0.0, height - self.height) / 2
        return Box(self.left - more_x, self.low - more_y, self.right + more_x, self.high + more_y)

    def covers(self, x: float, y: float) -> bool:
        """Whether a point lies inside or on the edge."""
        return self.left <= x <= self.right and self.low <= y <= self.high

    def shape(self) -> Polygon:
        """The rectangle as a polygon."""
        return box(self.left, self.low, self.right, self.high)


@dataclass(frozen=True, slots=True)
class Frame:
    """The view of a floor on a sheet.

    `view` is in metres, `left_pt` and `top_pt` say where its corner lies on the sheet, `turned` is a quarter turn
    clockwise (the floor's y axis then points right).
    """

    view: Box
    pt_per_m: float
    left_pt: float
    top_pt: float
    turned: bool

    @property
    def width_pt(self) -> float:
        """Width of the drawing on the sheet [pt]."""
        return (self.view.height if self.turned else self.view.width) * self.pt_per_m

    @property
    def height_pt(self) -> float:
        """Height of the drawing on the sheet [pt]."""
        return (self.view.width if self.turned else self.view.height) * self.pt_per_m

    @property
    def sheet(self) -> Box:
        """The drawing's rectangle on the sheet [pt]."""
        return Box(self.left_pt, self.top_pt, self.left_pt + self.width_pt, self.top_pt + self.height_pt)

    def at(self, x_m: float, y_m: float) -> tuple[float, float]:
        """Where a place on the floor lies on the sheet [pt]."""
        if self.turned:
            return (
                self.left_pt + (y_m - self.view.low) * self.pt_per_m,
                self.top_pt + (x_m - self.view.left) * self.pt_per_m,
            )
        return (
            self.left_pt + (x_m - self.view.left) * self.pt_per_m,
            self.top_pt + (self.view.high - y_m) * self.pt_per_m,
        )

    def of(self, point: Point) -> tuple[float, float]:
        """Where a point lies on the sheet [pt]."""
        return self.at(point.x, point.y)

    def drawn(self, shape: BaseGeometry) -> BaseGeometry:
        """The part of a shape that is in view, in points on the sheet."""
        seen = shape.intersection(self.view.shape())
        scale = self.pt_per_m
        if self.turned:
            numbers = [0, scale, scale, 0, self.left_pt - self.view.low * scale, self.top_pt - self.view.left * scale]
        else:
            numbers = [scale, 0, 0, -scale, self.left_pt - self.view.left * scale, self.top_pt + self.view.high * scale]
        return affine_transform(seen, numbers)

    def north(self, north_deg: float) -> tuple[float, float]:
        """Unit vector on the sheet that points north, from the bearing of the floor's y axis [deg]."""
        clockwise_from_up = radians(-north_deg + (90 if self.turned else 0))
        return sin(clockwise_from_up), -cos(clockwise_from_up)


def reads_turned(extent: Box) -> bool:
    """Whether a floor is turned a quarter on all its drawings."""
    return extent.height > _TURN_WHEN_TALLER * extent.width


def framed(
    view: Box,
    *,
    width_pt: float,
    height_pt: float,
    left_pt: float,
    top_pt: float,
    most_pt_per_m: float,
    least_height_pt: float,
    strip_pt: float,
    turned: bool,
) -> Frame:
    """Fit a view into a space on the sheet.

    Where the drawing leaves a strip wide enough at its right, the strip is left free. The view grows sideways until the
    drawing fills the rest: the white on either side is room for names.

    Parameters
    ----------
    view
        What to show [m]; both sides longer than zero.
    width_pt, height_pt
        The space for it [pt].
    left_pt, top_pt
        Corner of that space on the sheet [pt].
    most_pt_per_m
        Largest scale [pt/m]: a very small floor does not fill the sheet.
    least_height_pt
        Smallest height of the drawing [pt].
    strip_pt
        Width of a strip that can be used for something else [pt].
    turned
        Whether to turn the floor a quarter.
    """
    across, down = (view.height, view.width) if turned else (view.width, view.height)
    scale = min(width_pt / across, height_pt / down, most_pt_per_m)
    leaves_a_strip = width_pt - across * scale >= strip_pt
    wide, high = (width_pt - strip_pt if leaves_a_strip else width_pt) / scale, least_height_pt / scale
    shown = view.at_least(high, wide) if turned else view.at_least(wide, high)
    return Frame(shown, scale, left_pt, top_pt, turned)
