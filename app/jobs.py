"""Long work beside the web process: assessments, maps and papers."""

import asyncio
import signal
from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from typing import Any, TypeVar

T = TypeVar("T")

THREADS = 2
"""Where no process is to be started; more would only wait for each other."""


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

    def kept(self, key: Hashable) -> Any | None:
        """Give a result that is in memory still."""
        if key in self._results:
            self._results.move_to_end(key)
        return self._results.get(key)

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

    def close(self) -> None:
        """Stop the workers once they have finished what they do."""
        if self._executor is not None:
            self._executor.shutdown(cancel_futures=True)
            self._executor = None

    def _finish(self, key: Hashable, task: asyncio.Task[Any]) -> None:
        del self._running[key]
        if not task.cancelled() and task.exception() is None and self._kept:
            self._results[key] = task.result()
            while len(self._results) > self._kept:
                self._results.popitem(last=False)

    async def _run(self, work: Callable[..., T], arguments: tuple[object, ...]) -> T:
        executor = self._working_executor()
        try:
            return await _in(executor, work, arguments)
        except BrokenProcessPool:
            # A worker was killed, for want of memory as a rule; once more in a fresh one, and then it is an error.
            if self._executor is executor:
                self.close()
            return await _in(self._working_executor(), work, arguments)

    def _working_executor(self) -> Executor:
        if self._executor is None:
            self._executor = self._start()
        return self._executor

    def _start(self) -> Executor:
        if not self._processes:
            return ThreadPoolExecutor(THREADS, thread_name_prefix="jobs")
        # Forking a process that has threads can leave locks taken for ever in the child.
        return ProcessPoolExecutor(self._processes, mp_context=get_context("spawn"), initializer=_leave_interrupts)


async def _in(executor: Executor, work: Callable[..., T], arguments: tuple[object, ...]) -> T:
    return await asyncio.get_running_loop().run_in_executor(executor, work, *arguments)


def _leave_interrupts() -> None:
    """Let the web process alone answer Ctrl-C; it stops its workers in order."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
