"""The command line as a person meets it: exit status, what is said where, what is written and what is not."""

import json
import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pypdfium2
import pytest
from jsonschema import Draft202012Validator

from app import cli, commands
from app.bootstrap import ROOT
from survey.bundle import dump
from tests.builders import SurveyBuilder, rectangle

SVG = "{http://www.w3.org/2000/svg}svg"
Document = dict[str, Any]


def run(*arguments: object) -> int:
    return commands.run(cli.parser().parse_args([str(argument) for argument in arguments]))


@pytest.fixture(autouse=True)
def own_data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in list(os.environ):
        if name.startswith("DRUMWALK_"):
            monkeypatch.delenv(name)
    monkeypatch.setenv("DRUMWALK_DATA_DIR", str(tmp_path / "data"))
    return tmp_path / "data"


@pytest.fixture
def store() -> Document:
    """Give the survey of a small store with two floors, awkward names, and something to say about it."""
    build = SurveyBuilder("Harbour store")
    build.floor("Hall", width_m=12, depth_m=8)
    build.zone("A/1", rectangle(1, 1, 4, 4))
    build.drain("G1", (8, 4))
    build.pallet("P1", at=(2, 2))
    build.drum("P1-1", product="toluene")
    build.floor("hall", width_m=6, depth_m=5)
    build.zone("A 1", rectangle(1, 1, 3, 3))
    document: Document = json.loads(dump(build.survey()))
    return document


@pytest.fixture
def file(tmp_path: Path, store: Document) -> Path:
    path = tmp_path / "store.json"
    path.write_text(json.dumps(store), encoding="utf-8")
    return path


def test_assess_writes_assessment_maps_and_plan(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "results"
    assert run("assess", file, "--out", out, "--as-of", "2026-03-10") == 0
    assert {str(path.relative_to(out)) for path in out.rglob("*") if path.is_file()} == {
        "assessment.json",
        "maps/floor-hall.svg",
        "maps/floor-hall-2.svg",
        "maps/zone-a-1.svg",
        "maps/zone-a-1-2.svg",
        "preplan.pdf",
    }
    assessment = json.loads((out / "assessment.json").read_text(encoding="utf-8"))
    assert (assessment["site"], assessment["as_of"]) == ("Harbour store", "2026-03-10")
    assert (out / "preplan.pdf").read_bytes().startswith(b"%PDF-")
    for drawing in (out / "maps").iterdir():
        assert ElementTree.parse(drawing).getroot().tag == SVG  # noqa: S314 (our own drawing)
    said = capsys.readouterr().out
    assert "Harbour store" in said
    assert str(out / "preplan.pdf") in said
    assert assessment["findings"][0]["sentence"] in said


@pytest.mark.slow
def test_paper_size_is_the_one_asked_for(file: Path, tmp_path: Path) -> None:
    """A4 is 210 × 297 mm (ISO 216), US letter 8.5 × 11 in (ANSI/ASME Y14.1); a point is 1/72 in."""
    for paper, width_pt, height_pt in (("A4", 210 / 25.4 * 72, 297 / 25.4 * 72), ("letter", 8.5 * 72, 11 * 72)):
        assert run("assess", file, "--out", tmp_path / paper, "--paper", paper) == 0
        with pypdfium2.PdfDocument(tmp_path / paper / "preplan.pdf") as document:
            size = {round(length) for length in document[0].get_size()}
        assert size == {round(width_pt), round(height_pt)}


def negative_fill(document: Document) -> None:
    document["drums"][0]["fill_pct"] = -1


def open_outline(document: Document) -> None:
    document["floors"][0]["outline"] = [[0, 0], [1, 1]]


def crossing_outline(document: Document) -> None:
    document["floors"][0]["outline"] = [[0, 0], [4, 4], [4, 0], [0, 4]]


def two_drums_with_one_id(document: Document) -> None:
    document["drums"].append(document["drums"][0])


def drum_of_no_reading(document: Document) -> None:
    document["drums"][0]["reading_id"] = "00000000-0000-4000-8000-000000000000"


def not_a_number(document: Document) -> None:
    document["pallets"][0]["at"] = [float("nan"), 1.0]


def another_format(document: Document) -> None:
    document["format"] = "something-else"


@pytest.mark.parametrize(
    ("spoil", "path"),
    [
        (negative_fill, "drums[0].fill_pct"),
        (open_outline, "floors["),
        (crossing_outline, "floors["),
        (two_drums_with_one_id, "drums[1].id"),
        (drum_of_no_reading, "drums[0].reading_id"),
        (not_a_number, "pallets[0].at[0]"),
        (another_format, "format"),
    ],
)
def test_malformed_file_ends_in_2_with_a_line_per_fault_and_nothing_written(
    file: Path,
    store: Document,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    spoil: Callable[[Document], None],
    path: str,
) -> None:
    spoil(store)
    file.write_text(json.dumps(store), encoding="utf-8")
    before = sorted(tmp_path.iterdir())
    assert run("assess", file, "--out", tmp_path / "results") == 2
    said = capsys.readouterr()
    assert said.out == ""
    lines = said.err.splitlines()
    assert lines
    for line in lines:
        place, _, fault = line.partition(": expected ")
        assert ", found " in fault, line
        assert place.startswith(path), line
    assert sorted(tmp_path.iterdir()) == before


def test_each_fault_has_its_line(
    file: Path, store: Document, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    negative_fill(store)
    open_outline(store)
    file.write_text(json.dumps(store), encoding="utf-8")
    assert run("assess", file, "--out", tmp_path / "results") == 2
    assert {line.partition("[")[0] for line in capsys.readouterr().err.splitlines()} == {"drums", "floors"}


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b"\xff\xfe", b"\x89PNG\r\n"])
def test_something_that_is_no_survey_ends_in_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes
) -> None:
    (tmp_path / "odd").write_bytes(content)
    assert run("assess", tmp_path / "odd", "--out", tmp_path / "results") == 2
    assert "document: expected " in capsys.readouterr().err
    assert not (tmp_path / "results").exists()


def test_file_over_the_size_setting_ends_in_2(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("DRUMWALK_MAX_SURVEY_BYTES", "1024")
    assert run("assess", file, "--out", tmp_path / "results") == 2
    size = file.stat().st_size
    assert capsys.readouterr().err == f"document: expected at most 1024 bytes, found {size} bytes\n"
    assert not (tmp_path / "results").exists()


def test_missing_file_and_folder_for_a_file_end_in_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for path in (tmp_path / "nowhere.json", tmp_path):
        assert run("assess", path, "--out", tmp_path / "results") == 2
        assert capsys.readouterr().err.startswith(f"{path}: expected a survey file, found: ")


def test_folder_in_use_ends_in_2_before_any_work(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("assess", file, "--out", file.parent) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(f"{file.parent}: expected a new or empty folder or earlier results, found ")
    assert list(file.parent.iterdir()) == [file]


def test_disk_failure_ends_in_1_and_leaves_nothing(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    real = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if tmp_path in self.parents:
            raise OSError(28, "No space left on device")
        return real(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    assert run("assess", file, "--out", tmp_path / "results") == 1
    assert capsys.readouterr().err == f"{tmp_path / 'results'}: No space left on device; no results were written\n"
    assert list(tmp_path.iterdir()) == [file]


def test_unknown_setting_ends_in_2(
    file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("DRUMWALK_MAX_SURVY_BYTES", "1")
    assert run("assess", file, "--out", tmp_path / "results") == 2
    assert "DRUMWALK_MAX_SURVY_BYTES" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["assess", "x", "--out", "y", "--as-of", "2026-13-01"], "expected a day as YYYY-MM-DD, found '2026-13-01'"),
        (["serve", "--port", "0"], "expected a port from 1 to 65535, found '0'"),
        (["serve", "--port", "65536"], "expected a port from 1 to 65535, found '65536'"),
        (["assess", "x"], "--out"),
        (["assess", "x", "--out", "y", "--paper", "A5"], "A5"),
        (["demo", "--no-serv"], "--no-serv"),
        ([], "COMMAND"),
    ],
)
def test_mistyped_command_ends_in_2_and_says_what_was_expected(
    capsys: pytest.CaptureFixture[str], arguments: list[str], says: str
) -> None:
    with pytest.raises(SystemExit) as end:
        run(*arguments)
    assert end.value.code == 2
    assert says in capsys.readouterr().err


def test_schema_is_a_json_schema_that_takes_a_survey_and_refuses_a_spoilt_one(
    store: Document, capsys: pytest.CaptureFixture[str]
) -> None:
    """Checked by the reference validator for Python, jsonschema, against the 2020-12 dialect's own meta-schema."""
    assert run("schema") == 0
    schema = json.loads(capsys.readouterr().out)
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    assert validator.is_valid(store)
    negative_fill(store)
    assert not validator.is_valid(store)


def test_schema_goes_to_a_file_or_ends_in_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("schema", "--out", tmp_path / "schema.json") == 0
    assert "$schema" in json.loads((tmp_path / "schema.json").read_text(encoding="utf-8"))
    assert run("schema", "--out", tmp_path / "no" / "such" / "folder.json") == 2
    assert "expected a file that can be written" in capsys.readouterr().err


def test_migrate_makes_the_database_and_may_be_repeated(
    own_data_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for _ in range(2):
        assert run("migrate") == 0
        assert str(own_data_folder / "drumwalk.sqlite3") in capsys.readouterr().out
    assert (own_data_folder / "drumwalk.sqlite3").exists()


def test_database_of_another_program_ends_in_1(own_data_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own_data_folder.mkdir()
    (own_data_folder / "drumwalk.sqlite3").write_bytes(b"not a database, or one that was cut off" * 40)
    assert run("migrate") == 1
    assert "drumwalk.sqlite3" in capsys.readouterr().err


def test_version_is_the_projects(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("version") == 0
    assert f'version = "{capsys.readouterr().out.split()[1]}"' in (ROOT / "pyproject.toml").read_text(encoding="utf-8")


@pytest.mark.slow
def test_demo_loads_assesses_and_prints_three_sites(own_data_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("demo", "--no-serve", "--as-of", "2026-03-10") == 0
    said = capsys.readouterr().out
    plans = sorted((own_data_folder / "demo").glob("*/preplan.pdf"))
    assert len(plans) == 3
    assert all(str(plan) in said for plan in plans)
    assert {json.loads(plan.with_name("assessment.json").read_text(encoding="utf-8"))["as_of"] for plan in plans} == {
        "2026-03-10"
    }
    with sqlite3.connect(own_data_folder / "drumwalk.sqlite3") as record:
        assert record.execute("SELECT count(*) FROM site").fetchone() == (3,)
    record.close()


def free_port() -> int:
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        port: int = asked.getsockname()[1]
        return port


@pytest.fixture
def service(own_data_folder: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    port = free_port()
    command = [sys.executable, "-m", "app", "serve", "--port", str(port)]
    with subprocess.Popen(command, cwd=ROOT, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT) as running:
        try:
            yield running, f"http://127.0.0.1:{port}"
        finally:
            running.kill()


@pytest.mark.slow
def test_service_answers_and_stops_in_order(service: tuple[subprocess.Popen[str], str]) -> None:
    running, address = service
    deadline = time.monotonic() + 30
    while True:
        try:
            with urllib.request.urlopen(f"{address}/ready", timeout=5) as answer:  # noqa: S310 (our own address)
                assert answer.status == 200
            break
        except OSError:
            assert running.poll() is None, running.stdout.read() if running.stdout else ""
            assert time.monotonic() < deadline
            time.sleep(0.1)
    running.send_signal(signal.SIGINT)
    assert running.wait(timeout=20) == 0


@pytest.mark.slow
def test_port_that_is_taken_ends_in_1(own_data_folder: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        command = [sys.executable, "-m", "app", "serve", "--port", str(taken.getsockname()[1])]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 1
    assert "Address already in use" in done.stderr
