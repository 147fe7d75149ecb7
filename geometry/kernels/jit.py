"""How kernels are compiled: once, and kept for the next process wherever this account may write."""

from collections.abc import Callable
from typing import ParamSpec, TypeVar

from numba import njit

P = ParamSpec("P")
R = TypeVar("R")


def kernel(function: Callable[P, R]) -> Callable[P, R]:
    """Compile a function when it is first called.

    Parameters
    ----------
    function : callable
        Plain loops over arrays and numbers.

    Returns
    -------
    callable
        The same function, compiled.

    Notes
    -----
    The machine code is kept beside the source, or in the account's own cache folder where the checkout is read-only.
    `NUMBA_CACHE_DIR` names another place. Where nothing may be written each process compiles anew. A division by zero
    gives infinity or no number, as in numpy: a check of every divisor would keep loops from vector instructions.
    """
    try:
        kept: Callable[P, R] = njit(cache=True, nogil=True, error_model="numpy")(function)
    except RuntimeError:  # no folder for the cache may be written
        kept = njit(nogil=True, error_model="numpy")(function)
    return kept
