"""The command `python3 -m tests` itself."""

import sys

import pytest

from tests.__main__ import Outcome, main, pytest_command, run_step, summary

CLOSING = "===== 1 failed, 3 passed in 0.12s ====="


def says(text: str, *, status: int = 0) -> list[str]:
    return [sys.executable, "-c", f"print({text!r}); raise SystemExit({status})"]


def test_step_passes_output_through_and_keeps_the_closing_line(capsys: pytest.CaptureFixture[str]) -> None:
    outcome = run_step("tests", says(f"collected\n{CLOSING}\nafterwards", status=1))
    assert (outcome.status, outcome.closing) == (1, CLOSING)
    assert f"collected\n{CLOSING}\nafterwards\n" in capsys.readouterr().out


@pytest.mark.parametrize("line", ["=== short test summary info ===", "=========", "3 passed", "= 3 passed, but no end"])
def test_other_lines_are_not_taken_for_the_closing_line(line: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_step("tests", says(line)).closing == ""
    assert line in capsys.readouterr().out


@pytest.mark.parametrize("line", ["==== 3 passed in 1.00s ====", "=== no tests ran in 0.01s ==="])
def test_closing_lines_of_pytest_are_known(line: str) -> None:
    assert run_step("tests", says(line)).closing == line


def test_summary_names_each_step_and_ends_in_pytests_words() -> None:
    text = summary([Outcome("lint", 1, 0.2), Outcome("types", 0, 3.0), Outcome("tests", 1, 9.0, CLOSING)])
    lines = text.splitlines()
    assert [line.split()[0] for line in lines[2:5]] == ["lint", "types", "tests"]
    assert [("FAILED" in line) for line in lines[2:5]] == [True, False, True]
    assert lines[-1] == CLOSING


def test_quick_leaves_out_browser_and_slow_tests_and_extra_arguments_win() -> None:
    assert "not slow and not e2e" in pytest_command("quick", [])
    assert "not slow and not e2e" not in pytest_command("all", [])
    assert pytest_command("quick", ["-k", "drain"])[-2:] == ("-k", "drain")


@pytest.mark.parametrize("arguments", [["quik"], ["quick", "stray"], ["-k", "drain"]])
def test_mistyped_command_is_answered_with_the_usage(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments) == 2
    assert "python3 -m tests quick" in capsys.readouterr().err
