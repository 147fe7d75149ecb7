"""What was worked out before and may be asked for again, within a limit of memory."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


class Kept(Generic[Key, Value]):
    """Results by key; what was not asked for longest goes first when they weigh too much.

    Parameters
    ----------
    limit : float
        How much may be kept, in the unit of `weigh`. The last result is kept whatever it weighs.
    weigh : callable
        What one result weighs.
    """

    def __init__(self, limit: float, weigh: Callable[[Value], float]) -> None:
        self._limit = limit
        self._weigh = weigh
        self._weight = 0.0
        self._results: OrderedDict[Key, Value] = OrderedDict()

    def __len__(self) -> int:
        return len(self._results)

    def get(self, key: Key) -> Value | None:
        """Give a kept result.

        Parameters
        ----------
        key : Key
            What it was kept under.

        Returns
        -------
        Value or None
            None where nothing is kept under it, or no longer.
        """
        if key in self._results:
            self._results.move_to_end(key)
        return self._results.get(key)

    def put(self, key: Key, value: Value) -> Value:
        """Keep a result in place of an older one.

        Parameters
        ----------
        key : Key
            What to keep it under.
        value : Value
            The result.

        Returns
        -------
        Value
            The same result.
        """
        if key in self._results:
            self._weight -= self._weigh(self._results.pop(key))
        self._results[key] = value
        self._weight += self._weigh(value)
        while self._weight > self._limit and len(self._results) > 1:
            _, oldest = self._results.popitem(last=False)
            self._weight -= self._weigh(oldest)
        return value
