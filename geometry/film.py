"""How deep a spill rests: a range for each floor finish, and what is known of the liquid beside it."""

import math
from dataclasses import dataclass, replace

from geometry.constants import GRAVITY_M_S2
from geometry.errors import GeometryRefused
from geometry.ranges import above_zero
from geometry.similarity import axisymmetric_time_s
from geometry.spill_rules import PUDDLE, ROUGHNESS, THIN_SPILL


@dataclass(frozen=True, slots=True)
class FilmRange:
    """Resting depth between a thin and a thick end.

    Parameters
    ----------
    thin_m, thick_m : float
        Ends of the range [m]; the thin end reaches farther.
    model : str
        What the range is, for people.
    source : str
        Where both ends come from.
    """

    thin_m: float
    thick_m: float
    model: str
    source: str


_FINISHES = {
    "sealed": FilmRange(
        0.0007,
        0.0028,
        "film on a sealed floor, 0.7 to 2.8 mm: both branches of the handbook's thin-spill rule",
        f"judgement between published depths: {THIN_SPILL}",
    ),
    "bare concrete": FilmRange(
        0.0028,
        0.005,
        "film on bare concrete, 2.8 to 5 mm: thin-spill rule for large spills to roughness depth of concrete",
        f"judgement between published depths: {THIN_SPILL}; {ROUGHNESS}",
    ),
    "jointed or pitted": FilmRange(
        0.005,
        0.010,
        "film on jointed or pitted floor, 5 to 10 mm: roughness depth of concrete to that of gravel",
        f"judgement between published depths: {ROUGHNESS}",
    ),
    "unknown": FilmRange(
        0.0007,
        0.010,
        "floor finish unknown, 0.7 to 10 mm: the whole span of published depths",
        f"judgement between published depths: {THIN_SPILL}; {ROUGHNESS}",
    ),
}


def film_for(finish: str) -> FilmRange:
    """Find the range of resting depths for a floor finish.

    Parameters
    ----------
    finish : str
        *sealed*, *bare concrete*, *jointed or pitted* or *unknown*.

    Returns
    -------
    FilmRange
        *unknown* spans every published depth.

    Raises
    ------
    GeometryRefused
        If the finish is none of these.

    Notes
    -----
    Published depths for one drum differ by a factor of 14. The ends are published values; which finish lies between
    which two of them is judgement. No measured depth per coating was to be had.
    """
    if finish not in _FINISHES:
        raise GeometryRefused(f"floor finish: expected one of {', '.join(_FINISHES)}, found {finish!r}")
    return _FINISHES[finish]


def film_of_liquid(
    finish: str, *, surface_tension_n_m: float, density_kg_m3: float, contact_angle_deg: float | None
) -> FilmRange:
    """Find the range of resting depths for a floor finish and a liquid.

    Parameters
    ----------
    finish : str
        As in `film_for`.
    surface_tension_n_m : float
        Of the liquid [N/m].
    density_kg_m3 : float
        Of the liquid [kg/m³].
    contact_angle_deg : float or None
        Between liquid and floor, 0 to 180 [degree]; None where it is not known, as it nearly always is.

    Returns
    -------
    FilmRange
        That of `film_for`, with the depth of a puddle named; a puddle deeper than the thick end raises that end.

    Raises
    ------
    GeometryRefused
        If the finish is none of those, or a value is out of range or not finite.

    Notes
    -----
    The thin end is never raised: it reaches farther, and a floor that is wet, dirty or worn may be wetted after all.
    Without a contact angle nothing changes but the words; the deepest puddle there could be is named.
    """
    film = film_for(finish)
    deepest_m = puddle_depth_m(surface_tension_n_m, density_kg_m3, 180.0)
    if contact_angle_deg is None:
        words = f"how the liquid wets it is not known; no puddle of it is deeper than {deepest_m * 1000:.1f} mm"
        return replace(film, model=f"{film.model}; {words}")
    puddle_m = puddle_depth_m(surface_tension_n_m, density_kg_m3, contact_angle_deg)
    words = f"at {contact_angle_deg:g}° a puddle of the liquid is {puddle_m * 1000:.1f} mm deep"
    if puddle_m <= film.thick_m:
        return replace(film, model=f"{film.model}; {words}")
    return FilmRange(
        film.thin_m, puddle_m, f"{film.model}; {words}: taken as the thick end", f"{film.source}; {PUDDLE}"
    )


def spreads_for_s(volume_m3: float, depth_m: float, *, viscosity_m2_s: float) -> float:
    """Time that a thick liquid, let go at once on an open level floor, takes to thin out to a depth.

    Parameters
    ----------
    volume_m3 : float
        Volume spilt, above 0 [m³].
    depth_m : float
        Mean depth, above 0, such as an end of a film range [m].
    viscosity_m2_s : float
        Kinematic viscosity of the liquid, above 0 [m²/s].

    Returns
    -------
    float
        Time [s]. Until then the pool is smaller and deeper than it will be at rest; the film range stays as it is.

    Raises
    ------
    GeometryRefused
        If a value is not above zero or not finite.

    Notes
    -----
    A drum of gear oil takes minutes to 5 mm, hours to 2 mm, days to 1 mm. Of a thin liquid the splash of the first
    seconds, which this leaves out, takes longer than the time given here.

    References
    ----------
    .. [1] H. E. Huppert, Journal of Fluid Mechanics 121 (1982) 43, axisymmetric current of constant volume.
    """
    radius_m = math.sqrt(above_zero("spilt volume", volume_m3) / (math.pi * above_zero("film depth", depth_m)))
    return float(axisymmetric_time_s(radius_m, nu_m2_s=viscosity_m2_s, volume_m3=volume_m3))


def puddle_depth_m(surface_tension_n_m: float, density_kg_m3: float, contact_angle_deg: float) -> float:
    """Depth of a wide puddle at rest on a smooth level floor that it does not wet.

    Parameters
    ----------
    surface_tension_n_m : float
        Of the liquid [N/m].
    density_kg_m3 : float
        Of the liquid [kg/m³].
    contact_angle_deg : float
        Between liquid and floor, 0 to 180 [degree].

    Returns
    -------
    float
        Depth [m]: 2 l sin(θ/2), with l the capillary length.

    Raises
    ------
    GeometryRefused
        If a value is out of range or not finite.

    Notes
    -----
    Goes to zero for liquids that wet the floor, as most solvents do; then roughness sets the depth, not this. On a
    slope or in a joint nothing rests as a puddle.

    References
    ----------
    .. [1] P.-G. de Gennes, F. Brochard-Wyart and D. Quéré, Capillarity and Wetting Phenomena, chapter 2 (as quoted on
       public physics pages; the book itself not read).
    """
    if not 0 <= contact_angle_deg <= 180:
        raise GeometryRefused(f"contact angle: expected 0 to 180 degrees, found {contact_angle_deg}")
    length_m = capillary_length_m(surface_tension_n_m, density_kg_m3)
    return 2 * length_m * math.sin(math.radians(contact_angle_deg) / 2)


def capillary_length_m(surface_tension_n_m: float, density_kg_m3: float) -> float:
    """Length at which surface tension and weight are alike.

    Parameters
    ----------
    surface_tension_n_m : float
        Of the liquid [N/m].
    density_kg_m3 : float
        Of the liquid [kg/m³].

    Returns
    -------
    float
        Length [m].

    Raises
    ------
    GeometryRefused
        If a value is not above zero or not finite.

    References
    ----------
    .. [1] As `puddle_depth_m`.
    """
    tension_n_m = above_zero("surface tension", surface_tension_n_m)
    return math.sqrt(tension_n_m / (above_zero("density", density_kg_m3) * GRAVITY_M_S2))
