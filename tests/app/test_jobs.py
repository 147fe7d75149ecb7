"""Work beside the web process: done once, kept for a while, and done again where a worker was killed."""

import asyncio
import os
import signal
import threading
import time
from concurrent.futures.process import BrokenProcessPool
from contextlib import AsyncExitStack
from pathlib import Path

import pytest

from app.jobs import Jobs
from app.progress import PLACES, Busy, Heard


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


def count_until_unwanted(file: str, *, heard: Heard) -> str:
    share = 0.0
    while heard(share):
        Path(file).write_text(f"{share}")
        share += 0.125
        time.sleep(0.02)
    Path(file).write_text("given up")
    return "given up"


def until_unwanted(*, heard: Heard) -> str:
    while heard(0.5):
        time.sleep(0.01)
    return "given up"


def halves(value: int, *, heard: Heard) -> int:
    assert heard(0.5)
    time.sleep(0.1)
    return value // 2


def refuse(*, heard: Heard) -> int:
    raise ValueError(f"no, {heard(0.0)}")


def vanish(*, heard: Heard) -> int:
    heard(0.1)
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


@pytest.mark.parametrize("processes", [0, pytest.param(1, marks=pytest.mark.slow)])
def test_watched_work_says_how_far_it_is_and_gives_its_result(processes: int) -> None:
    jobs = Jobs(processes=processes, kept=0)

    async def ask() -> None:
        async with jobs.watch(halves, 8) as watch:
            shares = {watch.share}
            while not await watch.done_within(0.02):
                shares.add(watch.share)
            assert max(shares) == 0.5
            assert await watch.result() == 4
        async with jobs.watch(refuse) as watch:
            with pytest.raises(ValueError, match="no, True"):
                await watch.result()

    asyncio.run(ask())
    jobs.close()


@pytest.mark.parametrize("processes", [0, pytest.param(1, marks=pytest.mark.slow)])
def test_watched_work_stops_when_nobody_waits(processes: int, tmp_path: Path) -> None:
    jobs = Jobs(processes=processes, kept=0)
    file = tmp_path / "said"

    async def ask() -> None:
        async with jobs.watch(count_until_unwanted, str(file)) as watch:
            while watch.share < 0.25:
                assert not await watch.done_within(0.01)
        for _ in range(500):
            if file.read_text() == "given up":
                return
            await asyncio.sleep(0.01)
        raise AssertionError(file.read_text())

    asyncio.run(ask())
    jobs.close()


def test_a_place_on_the_board_is_free_again_when_its_work_has_ended() -> None:
    jobs = Jobs(processes=0, kept=0)

    async def ask() -> None:
        for _ in range(3 * PLACES):
            async with jobs.watch(halves, 2):
                await asyncio.sleep(0)
            await asyncio.sleep(0)
        async with jobs.watch(halves, 2) as watch:
            assert await watch.result() == 1

    async def crowd() -> None:
        async with AsyncExitStack() as stack:
            for _ in range(PLACES):
                await stack.enter_async_context(jobs.watch(halves, 2))
            with pytest.raises(Busy):
                await stack.enter_async_context(jobs.watch(halves, 2))

    asyncio.run(crowd())
    asyncio.run(ask())
    jobs.close()


def test_a_reader_that_is_late_to_leave_gives_up_no_one_elses_work() -> None:
    jobs = Jobs(processes=0, kept=0)

    async def ask() -> None:
        async with jobs.watch(halves, 2) as first:
            assert await first.result() == 1
            async with AsyncExitStack() as others:
                watches = [await others.enter_async_context(jobs.watch(halves, 4)) for _ in range(PLACES - 1)]
                with pytest.raises(Busy):  # the first place is taken until its reader has left
                    await others.enter_async_context(jobs.watch(halves, 4))
                assert await watches[0].result() == 2
        await asyncio.sleep(0)
        async with jobs.watch(halves, 6) as last:
            assert await last.result() == 3

    asyncio.run(ask())
    jobs.close()


def test_closing_gives_watched_work_up() -> None:
    jobs = Jobs(processes=0, kept=0)

    async def ask() -> None:
        async with jobs.watch(until_unwanted) as watch:
            while watch.share == 0:
                await asyncio.sleep(0.01)
            jobs.close()
            assert await watch.result() == "given up"

    asyncio.run(ask())


@pytest.mark.slow
def test_watched_work_whose_worker_is_killed_fails_and_the_next_is_done() -> None:
    jobs = Jobs(processes=1, kept=0)

    async def ask() -> None:
        async with jobs.watch(vanish) as watch:
            with pytest.raises(BrokenProcessPool):
                await watch.result()
        async with jobs.watch(halves, 6) as watch:
            assert await watch.result() == 3

    asyncio.run(ask())
    jobs.close()
