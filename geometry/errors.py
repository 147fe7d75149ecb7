"""What geometry says when it is given something it cannot work with."""


class GeometryRefused(ValueError):
    """An input that has no sensible answer; the message names the thing, what was expected and what was found."""
