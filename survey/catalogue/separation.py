"""How far apart incompatible products are to be kept inside a building."""

from survey.catalogue.product import Cited, Mark

SEPARATION = Cited(
    6.1,
    "m",
    "20 ft: IFC 5003.9.8 and NFPA 400 6.1.12 (recalled); the distance read in a US Forest Service storage guide",
    Mark.READ,
)
"""Or a noncombustible partition 457 mm (18 in) above and beside, or approved cabinets, not two incompatibles in one."""
