"""How far work beside the web process has got, and whether anybody still wants it: a little shared memory."""

from collections.abc import Callable
from multiprocessing import get_context
from typing import Any

PLACES = 64
"""Pieces of work that can be watched at once; one more waits for nothing, it is refused."""

Heard = Callable[[float], bool]
"""Takes how much is done (0 to 1) and says whether to go on."""


class Busy(RuntimeError):
    """More work is being watched than there are places for."""


class Board:
    """A place for each watched piece of work, seen by the web process and by its workers alike."""

    def __init__(self, places: int = PLACES) -> None:
        """Put up a board; it is handed to a worker process when that one starts, and not later."""
        memory: Any = get_context("spawn")
        self._shares = memory.RawArray("d", places)
        self._wanted = memory.RawArray("b", places)

    def __len__(self) -> int:
        return len(self._shares)

    def begin(self, place: int) -> None:
        """Note that nothing is done yet, and that somebody wants it."""
        self._shares[place] = 0.0
        self._wanted[place] = 1

    def share(self, place: int) -> float:
        """Say how much is done."""
        done: float = self._shares[place]
        return done

    def give_up(self, place: int) -> None:
        """Note that nobody wants it any more."""
        self._wanted[place] = 0

    def listener(self, place: int) -> Heard:
        """Give what the work calls now and then: it notes the share, and says whether to go on."""

        def heard(share: float) -> bool:
            self._shares[place] = share
            return bool(self._wanted[place])

        return heard


class _Here:
    """The board of this process, once it has been handed one."""

    board: Board | None = None


def hand_over(board: Board) -> None:
    """Put up a board in a worker process."""
    _Here.board = board


def watched(place: int, work: Callable[..., Any], arguments: tuple[object, ...]) -> Any:
    """Do work that reports at a place of the board; runs in the worker."""
    if _Here.board is None:
        raise RuntimeError("this process was started without a board")
    return work(*arguments, heard=_Here.board.listener(place))
