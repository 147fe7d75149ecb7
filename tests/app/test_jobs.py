"""Work beside the web process: done once, kept for a while, and done again where a worker was killed."""

import asyncio
import os
import signal
import threading
from pathlib import Path

import pytest

from app.jobs import Jobs


def work_in(process_file: str) -> int:
    with Path(process_file).open("a") as file:
        file.write(f"{os.getpid()}\n")
    return os.getpid()


def die_at_first(process_file: str) -> int:
    work_in(process_file)
    if len(Path(process_file).read_text().splitlines()) == 1:
        os.kill(os.getpid(), signal.SIGKILL)
    return os.getpid()


def fail() -> int:
    raise ZeroDivisionError


def test_equal_work_is_done_once_and_kept() -> None:
    jobs = Jobs(processes=0, kept=1)
    done: list[str] = []
    go = threading.Event()

    def work(name: str) -> str:
        go.wait(5)
        done.append(name)
        return name

    async def ask() -> None:
        first = [asyncio.create_task(jobs.result("a", work, "a")) for _ in range(3)]
        await asyncio.sleep(0)
        go.set()
        assert await asyncio.gather(*first) == ["a"] * 3
        assert jobs.kept("a") == "a"
        assert await jobs.result("a", work, "a") == "a"
        assert await jobs.result("b", work, "b") == "b"
        assert jobs.kept("a") is None  # one result is kept, and it is the last
        assert await jobs.result("a", work, "a") == "a"

    asyncio.run(ask())
    jobs.close()
    assert done == ["a", "b", "a"]


def test_a_failure_reaches_all_who_wait_and_is_not_kept() -> None:
    jobs = Jobs(processes=0, kept=4)

    async def ask() -> None:
        answers = await asyncio.gather(*(jobs.result("a", fail) for _ in range(2)), return_exceptions=True)
        assert [type(answer) for answer in answers] == [ZeroDivisionError] * 2
        assert await jobs.result("a", len, "abc") == 3

    asyncio.run(ask())
    jobs.close()


def test_a_caller_that_goes_away_does_not_stop_the_work() -> None:
    jobs = Jobs(processes=0, kept=4)
    go = threading.Event()

    async def ask() -> None:
        impatient = asyncio.create_task(jobs.result("a", go.wait, 5))
        await asyncio.sleep(0)
        patient = asyncio.create_task(jobs.result("a", go.wait, 5))
        await asyncio.sleep(0)
        impatient.cancel()
        with pytest.raises(asyncio.CancelledError):
            await impatient
        go.set()
        assert await patient

    asyncio.run(ask())
    jobs.close()


def test_a_killed_worker_is_replaced_and_the_work_done_again_once(tmp_path: Path) -> None:
    jobs = Jobs(processes=1, kept=4)
    process_file = str(tmp_path / "processes")

    async def ask() -> None:
        worker = await jobs.result("a", die_at_first, process_file)
        first, second = map(int, Path(process_file).read_text().splitlines())
        assert worker == second != first
        assert os.getpid() not in (first, second)
        assert await jobs.result("b", work_in, process_file) == worker

    asyncio.run(ask())
    jobs.close()
