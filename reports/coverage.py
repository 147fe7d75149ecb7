"""How much of the stock is known: seen, label read, identified."""

from collections.abc import Iterable

from reports.assessment import Coverage
from reports.facts import DrumFact


def coverage(drums: Iterable[DrumFact], *, unread_pallets: int = 0) -> Coverage:
    """Count drums by what is known of them.

    Parameters
    ----------
    drums : iterable of DrumFact
        Counted drums only; small containers are counted apart and enter no share.
    unread_pallets : int
        Pallets that nobody has read, whose drums nobody can count.

    Returns
    -------
    Coverage
    """
    every = tuple(drums)
    real = [drum for drum in every if not drum.container.small]
    return Coverage(
        drums=sum(not drum.empty_uncleaned for drum in real),
        empty=sum(drum.empty_uncleaned for drum in real),
        small_containers=len(every) - len(real),
        seen=sum(not drum.hidden for drum in real),
        hidden=sum(drum.hidden for drum in real),
        label_read=sum(drum.label_read for drum in real),
        identified=sum(drum.identified for drum in real),
        unread_pallets=unread_pallets,
    )
