"""The frame that figures are measured in; the figures themselves are no test."""

import pytest

from tests.bench import __main__ as bench
from tests.bench.figures import Figure, Section, median_s, section, sections


def test_median_leaves_out_the_first_run_and_bears_a_slow_one(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter([0.0, 2.0, 10.0, 13.0, 20.0, 120.0])  # three timed runs: 2, 3 and 100 s
    runs: list[int] = []
    monkeypatch.setattr("tests.bench.figures.time.perf_counter", lambda: next(clock))
    assert median_s(lambda: runs.append(1), rounds=3) == 3.0
    assert len(runs) == 4


def test_table_gives_the_ratio_first() -> None:
    line = bench.table([Figure("pool", 0.5, "grid", 2.0)])
    assert line.split()[:3] == ["0.25", "×", "pool"]


def test_what_is_no_time_is_printed_in_its_own_unit() -> None:
    line = bench.table([Figure("memory", 500.0, "aim", 1000.0, unit="MB")])
    assert line.split() == ["0.5", "×", "memory", "(500", "MB)", "against", "aim", "(1e+03", "MB)"]


def test_set_up_section_is_found() -> None:
    assert "set-up" in sections()


def test_two_sections_of_one_name_are_refused() -> None:
    sections()
    with pytest.raises(ValueError, match="set-up"):
        section("set-up", "again")(list)


def test_unknown_section_is_answered_with_the_known_ones(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(bench, "sections", lambda: {"a": Section("a", "says", list)})
    assert bench.main(["b"]) == 2
    assert capsys.readouterr().err == "no such section: b; there are: a\n"
    assert bench.main([]) == 0
    assert capsys.readouterr().out.startswith("a: says\n")
