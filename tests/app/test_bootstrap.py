"""Set-up from a bare Python, on machines made up for it and once for real.

Debian's package names, and that ensurepip is a package of its own there, are Debian 12's and 13's; the loader names
of Pango and HarfBuzz are the ones that WeasyPrint 70 opens (weasyprint/text/ffi.py).
"""

import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from app import bootstrap
from app.bootstrap import ROOT, RUN, TEST, Home, Machine

PANGO = ("libpango-1.0.so.0", "libpangoft2-1.0.so.0", "libharfbuzz-subset.so.0")
PROGRAMS = ("apt-get", "sudo", "chromium")
APT_INSTALL = ("apt-get", "install", "-y", "--no-install-recommends")


class InventedMachine(Machine):
    """A machine that has what the test says and writes down what is done to it."""

    def __init__(self, root: Path, *, admin: bool = False, lacks: Sequence[str] = ()) -> None:
        self.root = root
        self.python = "/usr/bin/python3"
        self.version = (3, 11)
        self.prefix = Path("/usr")
        self.arguments = ("-m", "app", "schema")
        self.admin = admin
        self.has = {*PANGO, *PROGRAMS, "venv", "ensurepip"} - {*lacks}
        self.brings = {"python3.11-venv": "ensurepip", "libpango-1.0-0": PANGO[0], "chromium": "chromium"}
        self.venv_version: tuple[int, int] | None = None
        self.commands: list[tuple[str, ...]] = []
        self.said: list[str] = []
        self.became: tuple[str, ...] | None = None
        self.during_pip: Callable[[], int] = lambda: 0

    def is_root(self) -> bool:
        return self.admin

    def has_program(self, name: str) -> bool:
        return name in self.has

    has_library = has_module = has_program

    def version_of(self, python: Path) -> tuple[int, int] | None:
        assert python == self.root / ".venv" / "bin" / "python"
        return self.venv_version

    def run(self, command: Sequence[str]) -> int:
        self.commands.append(tuple(command))
        if command[:2] == ["apt-get", "install"]:
            self.has |= {self.brings[package] for package in command if package in self.brings}
        if command[1:3] == ["-m", "venv"]:
            self.venv_version = self.version
            (self.root / ".venv").mkdir(exist_ok=True)
        if command[1:3] == ["-m", "pip"]:
            return self.during_pip()
        return 0

    def say(self, text: str) -> None:
        self.said.append(text)

    def become(self, command: Sequence[str]) -> None:
        self.became = tuple(command)

    def ran(self, *, word: str) -> bool:
        return any(word in command for command in self.commands)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    pins = tmp_path / ".pins"
    pins.mkdir()
    (pins / "run.txt").write_text("numpy==2.4.6 \\\n    --hash=sha256:00\n", encoding="utf-8")
    (pins / "test.txt").write_text("numpy==2.4.6 \\\n    --hash=sha256:00\npytest==9.2.0 \\\n", encoding="utf-8")
    return tmp_path


def start(machine: InventedMachine, outfit: bootstrap.Outfit = RUN) -> InventedMachine:
    bootstrap.ready(outfit, root=machine.root, machine=machine)
    return machine


def refused(machine: InventedMachine, outfit: bootstrap.Outfit = RUN, *, status: int = 3) -> str:
    with pytest.raises(SystemExit) as refusal:
        start(machine, outfit)
    assert refusal.value.code == status
    assert machine.became is None
    return machine.said[-1]


def stamps(root: Path) -> set[str]:
    return {path.name for path in (root / ".venv").glob("*")}


def test_first_start_makes_environment_installs_pins_and_starts_over(root: Path) -> None:
    machine = start(InventedMachine(root))
    venv = str(root / ".venv")
    make, install = machine.commands
    assert make == ("/usr/bin/python3", "-m", "venv", "--clear", venv)
    assert install[:3] == (f"{venv}/bin/python", "-m", "pip")
    assert {"--require-hashes", "--no-deps", "--only-binary=:all:"} < set(install)
    assert install[-2:] == ("--requirement", str(root / ".pins" / "run.txt"))
    assert machine.became == (f"{venv}/bin/python", "-m", "app", "schema")
    assert [line.partition(":")[0] for line in machine.said] == ["Setting up, once"] * 2 + ["Setting up"]


def test_second_start_does_nothing_but_start_over(root: Path) -> None:
    start(InventedMachine(root))
    again = InventedMachine(root, lacks=("venv", "ensurepip", "apt-get"))
    again.venv_version = (3, 11)
    start(again)
    assert (again.commands, again.said) == ([], [])
    assert again.became is not None


def test_a_good_environment_serves_any_python_that_starts_it(root: Path) -> None:
    start(InventedMachine(root))
    other = InventedMachine(root)
    other.venv_version, other.version = (3, 11), (3, 9)
    assert start(other).commands == []


def test_inside_the_environment_nothing_is_asked_or_done(root: Path) -> None:
    machine = InventedMachine(root, lacks=[*PANGO, *PROGRAMS, "venv", "ensurepip"])
    machine.prefix = root / ".venv"
    start(machine)
    assert (machine.commands, machine.said, machine.became) == ([], [], None)


def test_changed_pins_are_installed_into_the_environment_that_is_there(root: Path) -> None:
    start(InventedMachine(root))
    (root / ".pins" / "run.txt").write_text("numpy==2.4.7 \\\n    --hash=sha256:01\n", encoding="utf-8")
    machine = InventedMachine(root)
    machine.venv_version = (3, 11)
    start(machine)
    assert machine.ran(word="pip")
    assert not machine.ran(word="--clear")


def test_environment_of_another_python_is_made_anew(root: Path) -> None:
    machine = InventedMachine(root)
    machine.venv_version = (3, 10)
    start(machine)
    assert machine.ran(word="--clear")
    assert "Python 3.10" in machine.said[0]


def test_environment_whose_python_was_upgraded_under_it_is_installed_again(root: Path) -> None:
    start(InventedMachine(root))
    machine = InventedMachine(root)
    machine.venv_version = machine.version = (3, 13)
    start(machine)
    assert machine.ran(word="pip"), "packages of Python 3.11 do not serve 3.13"


def test_environment_whose_python_is_gone_is_made_anew(root: Path) -> None:
    start(InventedMachine(root))
    machine = start(InventedMachine(root))
    assert machine.ran(word="--clear")


@pytest.mark.parametrize("status", [1, KeyboardInterrupt], ids=["pip fails", "stopped by hand"])
def test_interrupted_install_leaves_no_stamp_and_is_taken_up_again(
    root: Path, status: int | type[KeyboardInterrupt]
) -> None:
    start(InventedMachine(root))
    assert stamps(root) == {"installed-run"}
    (root / ".pins" / "run.txt").write_text("numpy==2.4.7\n", encoding="utf-8")

    def interrupt() -> int:
        assert stamps(root) == set(), "a crash at this point must not leave the old stamp"
        if isinstance(status, int):
            return status
        raise status

    machine = InventedMachine(root)
    machine.venv_version = (3, 11)
    machine.during_pip = interrupt
    said = refused(machine, status=3 if status == 1 else 130)
    assert said.startswith("pip could not install" if status == 1 else "Set-up stopped")
    assert stamps(root) == set()

    machine.during_pip = lambda: 0
    start(machine)
    assert stamps(root) == {"installed-run"}
    assert machine.became is not None


def test_failure_to_make_the_environment_is_said_and_pip_is_not_started(root: Path) -> None:
    class Full(InventedMachine):
        def run(self, command: Sequence[str]) -> int:
            super().run(command)
            return 1

    machine = Full(root)
    assert refused(machine).startswith(f"Could not make {root / '.venv'}")
    assert not machine.ran(word="pip")


def test_checkout_that_cannot_be_written_is_said_with_its_place(root: Path) -> None:
    machine = InventedMachine(root)
    (root / ".venv").write_text("in the way", encoding="utf-8")

    assert str(root) in refused(machine)


def test_missing_parts_are_installed_as_root_after_one_update(root: Path) -> None:
    machine = start(InventedMachine(root, admin=True, lacks=("ensurepip", PANGO[0])))
    assert machine.commands[:2] == [
        ("apt-get", "update"),
        (*APT_INSTALL, "python3.11-venv", "libpango-1.0-0"),
    ]
    assert not any("failed" in said for said in machine.said)
    assert machine.became is not None


@pytest.mark.parametrize(
    ("lacks", "command"),
    [
        (
            ("ensurepip",),
            "sudo sh -c 'apt-get update && apt-get install -y --no-install-recommends python3.11-venv'",
        ),
        (
            (*PANGO, "venv"),
            "sudo sh -c 'apt-get update && apt-get install -y --no-install-recommends "
            "python3.11-venv libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0'",
        ),
        (
            ("sudo", PANGO[2]),
            "su -c 'apt-get update && apt-get install -y --no-install-recommends libharfbuzz-subset0'",
        ),
    ],
)
def test_without_rights_one_exact_command_is_printed_and_nothing_done(
    root: Path, lacks: Sequence[str], command: str
) -> None:
    machine = InventedMachine(root, lacks=lacks)
    assert refused(machine).splitlines()[-1] == f"  {command}"
    assert machine.commands == []


def test_missing_library_is_noticed_on_a_later_start_too(root: Path) -> None:
    start(InventedMachine(root))
    machine = InventedMachine(root, lacks=PANGO[:1])
    machine.venv_version = (3, 11)
    assert "libpango-1.0-0" in refused(machine)


def test_machine_without_apt_is_told_the_names(root: Path) -> None:
    machine = InventedMachine(root, admin=True, lacks=("apt-get", PANGO[1]))
    assert "libpangoft2-1.0-0" in refused(machine)
    assert machine.commands == []


def test_package_that_installs_and_is_still_not_found_stops(root: Path) -> None:
    machine = InventedMachine(root, admin=True, lacks=("ensurepip",))
    machine.brings = {}
    assert "python3.11-venv" in refused(machine)
    assert not machine.ran(word="venv")


@pytest.mark.parametrize(("failing", "goes_on"), [("update", True), ("install", False)])
def test_apt_update_may_fail_and_apt_install_may_not(root: Path, failing: str, *, goes_on: bool) -> None:
    class Unreachable(InventedMachine):
        def run(self, command: Sequence[str]) -> int:
            return super().run(command) or int(command[:2] == ["apt-get", failing])

    machine = Unreachable(root, admin=True, lacks=("ensurepip",))
    if goes_on:
        start(machine)
        assert machine.became is not None
        assert any(said.startswith("apt-get update failed") for said in machine.said)
    else:
        assert refused(machine).startswith("apt-get could not install python3.11-venv")


def test_old_python_gets_a_sentence(root: Path) -> None:
    machine = InventedMachine(root)
    machine.version = (3, 9)
    assert refused(machine) == "Drumwalk needs Python 3.11 or newer; this is 3.9 (/usr/bin/python3)."


def test_outfit_of_the_tests_asks_for_more_and_covers_the_program(root: Path) -> None:
    assert "chromium" in refused(InventedMachine(root, lacks=("chromium",)), TEST)
    assert start(InventedMachine(root, lacks=("chromium",)), RUN).became is not None
    testing = InventedMachine(root)
    testing.venv_version = (3, 11)
    start(testing, TEST)
    assert stamps(root) == {"installed-run", "installed-test"}
    program = InventedMachine(root)
    program.venv_version = (3, 11)
    assert start(program).commands == []


def test_questions_to_this_machine_are_answered_truly() -> None:
    machine = Machine()
    assert machine.version_of(Path(sys.executable)) == tuple(sys.version_info[:2])
    assert machine.version_of(Path("/nowhere/python")) is None
    assert machine.version_of(Path("/bin/false")) is None
    assert machine.has_module("venv")
    assert not machine.has_module("no_such_module_anywhere")
    assert machine.has_library("libc.so.6")
    assert not machine.has_library("libnosuchthing.so.0")
    assert machine.has_program("sh")
    assert not machine.has_program("no-such-program-anywhere")


def test_what_commands_print_goes_to_standard_error(capfd: pytest.CaptureFixture[str]) -> None:
    assert Machine().run(["sh", "-c", "echo loud; echo $DEBIAN_FRONTEND; exit 7"]) == 7
    assert capfd.readouterr() == ("", "loud\nnoninteractive\n")


def test_stamp_changes_with_pins_and_with_python(root: Path) -> None:
    home = Home(root)
    before = home.stamp_text("run", (3, 11))
    assert home.stamp_text("run", (3, 12)) != before
    (root / ".pins" / "run.txt").write_text("numpy==2.4.7\n", encoding="utf-8")
    assert home.stamp_text("run", (3, 11)) != before


@pytest.mark.slow
def test_bare_checkout_really_sets_up_once_and_then_answers_at_once(tmp_path: Path) -> None:
    """With no package pinned, so that nothing is fetched: a real environment, a real pip, and two starts at once."""
    shutil.copytree(ROOT / "app", tmp_path / "app", ignore=shutil.ignore_patterns("web", "api", "__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    (tmp_path / ".pins").mkdir()
    (tmp_path / ".pins" / "run.txt").write_text("# nothing\n", encoding="utf-8")
    bare = Path(sys.base_prefix) / "bin" / "python3"

    def versions(count: int) -> list[tuple[int, str, str]]:
        command = [str(bare), "-m", "app", "version"]
        starts = [
            subprocess.Popen(command, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
            for _ in range(count)
        ]
        said = [start.communicate(timeout=120) for start in starts]
        return [(start.returncode, out, err) for start, (out, err) in zip(starts, said, strict=True)]

    together = versions(2)
    assert [(status, out.split()[0]) for status, out, _ in together] == [(0, "drumwalk")] * 2
    assert sum("Setting up, once" in err for _, _, err in together) == 1, "the second waits for the first"
    assert versions(1) == [(0, together[0][1], "")]
