"""Signs that a drum may burst or react at any moment."""

from reports.facts import DrumFact
from survey.vocabulary import ConditionSign

ALARMING = {
    ConditionSign.BULGING: "bulging",
    ConditionSign.PINGING: "pinging",
    ConditionSign.HISSING: "hissing",
    ConditionSign.HOT: "hot",
    ConditionSign.FROST: "frosted",
    ConditionSign.VENTING: "venting",
    ConditionSign.FIRE_EXPOSED: "exposed to fire",
    ConditionSign.CRYSTALS_AT_CLOSURE: "showing crystals at the closure",
}
"""Signs of pressure, reaction or shock sensitivity, and how a sentence says them."""


def alarming(drum: DrumFact) -> tuple[str, ...]:
    """Name the alarming signs of a drum, as a sentence says them.

    Parameters
    ----------
    drum : DrumFact

    Returns
    -------
    tuple of str
        In the order of the signs' names; empty for none.
    """
    return tuple(ALARMING[sign] for sign in sorted(drum.signs & ALARMING.keys()))
