"""Long work beside the web process: assessments, maps and papers."""

import asyncio
import signal
from collections import OrderedDict
from collections.abc import AsyncIterator, Callable, Hashable
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import asynccontextmanager
from multiprocessing import get_context
from typing import Any, Generic, TypeVar

from app.progress import Board, Busy, hand_over, watched

T = TypeVar("T")

THREADS = 2
"""Where no process is to be started; more would only wait for each other."""


class Watch(Generic[T]):
    """Work that is being done and can be looked at meanwhile."""

    def __init__(self, future: "Future[T]", board: Board, place: int) -> None:
        """Watch `future`, which reports at a place of the board."""
        self._future = asyncio.wrap_future(future)
        # What goes wrong after its reader has left is nobody's any more.
        self._future.add_done_callback(lambda done: done.cancelled() or done.exception())
        self._board = board
        self._place = place

    @property
    def share(self) -> float:
        """How much is done (0 to 1), as far as the work has said."""
        return self._board.share(self._place)

    async def done_within(self, seconds: float) -> bool:
        """Wait for the end, but not longer than that."""
        await asyncio.wait([self._future], timeout=seconds)
        return self._future.done()

    async def result(self) -> T:
        """Give what the work made, or raise what it raised."""
        return await self._future


class Jobs:
    """Runs functions of plain arguments in other processes, each piece of work once, and keeps the last results.

    To be used from one event loop.
    """

    def __init__(self, *, processes: int, kept: int) -> None:
        """Start nothing yet; `processes` 0 works in threads, `kept` is how many results stay in memory."""
        self._processes = processes
        self._kept = kept
        self._executor: Executor | None = None
        self._results: OrderedDict[Hashable, Any] = OrderedDict()
        self._running: dict[Hashable, asyncio.Task[Any]] = {}
        self._board = Board()
        self._free_places = list(range(len(self._board)))

    def kept(self, key: Hashable) -> Any | None:
        """Give a result that is in memory still."""
        if key in self._results:
            self._results.move_to_end(key)
        return self._results.get(key)

    def keep(self, key: Hashable, result: object) -> None:
        """Keep a result in memory, in place of the one that was not asked for longest."""
        if not self._kept:
            return
        self._results[key] = result
        self._results.move_to_end(key)
        while len(self._results) > self._kept:
            self._results.popitem(last=False)

    async def result(self, key: Hashable, work: Callable[..., T], *arguments: object) -> T:
        """Give what `work` makes of `arguments`; `key` names exactly that, so equal keys share one run.

        A caller that goes away does not stop the work, because others may wait for it.
        """
        if key in self._results:
            self._results.move_to_end(key)
            kept: T = self._results[key]
            return kept
        task = self._running.get(key)
        if task is None:
            task = self._running[key] = asyncio.create_task(self._run(work, arguments))
            task.add_done_callback(lambda done: self._finish(key, done))
        return await asyncio.shield(task)

    def begin(self, work: Callable[[], object]) -> None:
        """Start a worker and let it do something that makes what comes later quicker; nobody waits for it."""
        self._working_executor().submit(work)

    @asynccontextmanager
    async def watch(self, work: Callable[..., T], *arguments: object) -> AsyncIterator[Watch[T]]:
        """Do `work` of `arguments` and of `heard`, which it calls with the share that is done and obeys.

        Leaving the block before the end gives the work up: it is told at its next report.

        Raises
        ------
        Busy
            Where too much is being watched already.
        """
        if not self._free_places:
            raise Busy("more questions are being worked on than this service follows at once")
        place = self._free_places.pop()
        self._board.begin(place)
        loop = asyncio.get_running_loop()
        try:
            future = self._submitted(place, work, arguments)
        except BaseException:
            self._free_places.append(place)
            raise
        try:
            yield Watch(future, self._board, place)
        finally:
            self._board.give_up(place)
            future.cancel()
            # A place is free again only when both its reader and its worker have let go of it.
            future.add_done_callback(lambda _: _soon(loop, self._free_places.append, place))

    def _submitted(self, place: int, work: Callable[..., T], arguments: tuple[object, ...]) -> "Future[T]":
        executor = self._working_executor()
        try:
            return executor.submit(watched, place, work, arguments)
        except BrokenProcessPool:
            # A worker was killed since; this work has not begun, so a fresh one may have it.
            self._stop()
            return self._working_executor().submit(watched, place, work, arguments)

    def close(self) -> None:
        """Stop the workers: watched work is given up, any other finished."""
        for place in range(len(self._board)):
            self._board.give_up(place)
        self._stop()

    def _stop(self) -> None:
        if self._executor is not None:
            self._executor.shutdown(cancel_futures=True)
            self._executor = None

    def _finish(self, key: Hashable, task: asyncio.Task[Any]) -> None:
        del self._running[key]
        if not task.cancelled() and task.exception() is None:
            self.keep(key, task.result())

    async def _run(self, work: Callable[..., T], arguments: tuple[object, ...]) -> T:
        executor = self._working_executor()
        try:
            return await _in(executor, work, arguments)
        except BrokenProcessPool:
            # A worker was killed, for want of memory as a rule; once more in a fresh one, and then it is an error.
            if self._executor is executor:
                self._stop()
            return await _in(self._working_executor(), work, arguments)

    def _working_executor(self) -> Executor:
        if self._executor is None:
            self._executor = self._start()
        return self._executor

    def _start(self) -> Executor:
        if not self._processes:
            return ThreadPoolExecutor(THREADS, "jobs", hand_over, (self._board,))
        # Forking a process that has threads can leave locks taken for ever in the child.
        return ProcessPoolExecutor(self._processes, get_context("spawn"), _begin_worker, (self._board,))


async def _in(executor: Executor, work: Callable[..., T], arguments: tuple[object, ...]) -> T:
    return await asyncio.get_running_loop().run_in_executor(executor, work, *arguments)


def _soon(loop: asyncio.AbstractEventLoop, action: Callable[[T], object], argument: T) -> None:
    """Do something on the loop from a thread; at the end of everything there may be no loop any more."""
    if not loop.is_closed():
        loop.call_soon_threadsafe(action, argument)


def _begin_worker(board: Board) -> None:
    """Let the web process alone answer Ctrl-C, since it stops its workers in order; and put up its board."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    hand_over(board)
