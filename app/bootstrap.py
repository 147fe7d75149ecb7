"""Set-up from a bare Python: the pinned packages in `.venv`, and the system libraries that they load.

Standard library only, and nothing newer than Python 3.8 before the version is checked, so that an old Python answers
with a sentence and not with a traceback.
"""

from __future__ import annotations

import contextlib
import ctypes
import fcntl
import hashlib
import importlib
import importlib.util
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

ROOT = Path(__file__).resolve().parent.parent
OLDEST_PYTHON = (3, 11)
CANNOT_SET_UP = 3
"""Exit status where something is missing that set-up cannot or may not install."""
STOPPED_BY_HAND = 130


@dataclass(frozen=True)
class SystemPart:
    """Something outside Python: the Debian package that brings it, and what shows that it is there.

    All of `libraries` must load; of `programs`, where any are named, one must be on the path.
    """

    package: str
    libraries: tuple[str, ...] = ()
    programs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Outfit:
    """What one way of running needs: `.pins/<name>.txt` and the system parts; `covers` names outfits it includes."""

    name: str
    parts: tuple[SystemPart, ...]
    covers: tuple[str, ...] = ()


RUN = Outfit(
    "run",
    (
        SystemPart("libpango-1.0-0", libraries=("libpango-1.0.so.0",)),
        SystemPart("libpangoft2-1.0-0", libraries=("libpangoft2-1.0.so.0",)),
        # Without it WeasyPrint stamps the clock into each font, and no two editions of a plan are the same bytes.
        SystemPart("libharfbuzz-subset0", libraries=("libharfbuzz-subset.so.0",)),
    ),
)
TEST = Outfit(
    "test",
    (
        *RUN.parts,
        SystemPart("chromium", programs=("chromium", "chromium-browser")),
    ),
    covers=("run",),
)


class CannotSetUpError(Exception):
    """Set-up cannot go on; the message says what a person must do."""


class Machine:
    """This computer as set-up sees it: every question it asks and everything it does."""

    python = sys.executable
    version: tuple[int, int] = (sys.version_info[0], sys.version_info[1])
    prefix = Path(sys.prefix)
    arguments: tuple[str, ...] = tuple(getattr(sys, "orig_argv", sys.argv)[1:])

    def is_root(self) -> bool:
        """Whether packages may be installed without asking."""
        return os.geteuid() == 0

    def has_program(self, name: str) -> bool:
        """Whether a program is on the path."""
        return shutil.which(name) is not None

    def has_library(self, name: str) -> bool:
        """Whether a shared library loads, the way its Python package will load it."""
        try:
            ctypes.CDLL(name)
        except OSError:
            return False
        return True

    def has_module(self, name: str) -> bool:
        """Whether this Python has a module."""
        importlib.invalidate_caches()
        return importlib.util.find_spec(name) is not None

    def version_of(self, python: Path) -> tuple[int, int] | None:
        """Ask another Python for its version; None where it does not run."""
        question = "import sys; print(*sys.version_info[:2])"
        try:
            answer = subprocess.run([str(python), "-ISc", question], capture_output=True, text=True, check=True)
            major, minor = map(int, answer.stdout.split())
        except (OSError, subprocess.CalledProcessError, ValueError):
            return None
        return major, minor

    def run(self, command: Sequence[str]) -> int:
        """Run a command to its end and return its exit status; what it prints goes to standard error."""
        with_answers = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        done = subprocess.run(command, check=False, stdout=sys.stderr, stdin=subprocess.DEVNULL, env=with_answers)
        return done.returncode

    def say(self, text: str) -> None:
        """Tell the person at the terminal."""
        print(text, file=sys.stderr, flush=True)

    def become(self, command: Sequence[str]) -> None:
        """Replace this process."""
        os.execv(command[0], list(command))


@dataclass(frozen=True)
class Home:
    """The folder of the checkout, with its environment and its pins."""

    root: Path

    @property
    def environment(self) -> Path:
        """The virtual environment."""
        return self.root / ".venv"

    @property
    def python(self) -> Path:
        """The Python of the virtual environment."""
        return self.environment / "bin" / "python"

    def pins(self, name: str) -> Path:
        """The pinned packages of an outfit."""
        return self.root / ".pins" / f"{name}.txt"

    def stamp(self, name: str) -> Path:
        """The file that says an outfit is installed; written last, removed first."""
        return self.environment / f"installed-{name}"

    def stamp_text(self, name: str, version: tuple[int, int]) -> str:
        """What the stamp says when nothing has changed since."""
        return f"{hashlib.sha256(self.pins(name).read_bytes()).hexdigest()} python{version[0]}.{version[1]}\n"

    def is_installed(self, outfit: Outfit, machine: Machine) -> bool:
        """Whether the environment runs and holds exactly what is pinned."""
        try:
            stamp = self.stamp(outfit.name).read_bytes()
        except FileNotFoundError:
            return False
        version = machine.version_of(self.python)
        return version is not None and stamp == self.stamp_text(outfit.name, version).encode()

    @contextlib.contextmanager
    def alone(self) -> Iterator[None]:
        """Hold other set-ups of this checkout back."""
        folder = os.open(self.root, os.O_RDONLY)
        try:
            fcntl.flock(folder, fcntl.LOCK_EX)
            yield
        finally:
            os.close(folder)


def ready(outfit: Outfit, *, root: Path = ROOT, machine: Machine | None = None) -> None:
    """Return at once inside the project's environment; anywhere else set it up and start over inside it."""
    machine = machine or Machine()
    home = Home(root)
    if machine.prefix.resolve() == home.environment.resolve():
        return
    try:
        set_up(outfit, home, machine)
    except CannotSetUpError as why:
        machine.say(str(why))
        raise SystemExit(CANNOT_SET_UP) from None
    except OSError as why:
        machine.say(f"Cannot set up in {root}: {why}")
        raise SystemExit(CANNOT_SET_UP) from None
    except KeyboardInterrupt:
        machine.say("Set-up stopped; the next start takes it up again.")
        raise SystemExit(STOPPED_BY_HAND) from None
    machine.become([str(home.python), *machine.arguments])


def set_up(outfit: Outfit, home: Home, machine: Machine) -> None:
    """Bring the machine to where the outfit runs, doing only what is not done yet."""
    installed = home.is_installed(outfit, machine)
    if not installed and machine.version < OLDEST_PYTHON:
        raise CannotSetUpError(
            f"Drumwalk needs Python {OLDEST_PYTHON[0]}.{OLDEST_PYTHON[1]} or newer; "
            f"this is {machine.version[0]}.{machine.version[1]} ({machine.python})."
        )
    missing = missing_packages(outfit, machine, with_environment=not installed)
    if missing:
        install_packages(missing, machine)
        if still := missing_packages(outfit, machine, with_environment=not installed):
            raise CannotSetUpError(
                f"Installed, and yet not found by {machine.python}: {', '.join(still)}. "
                "Is this the system's own Python? If not, try again with /usr/bin/python3."
            )
    if installed:
        return
    with home.alone():
        # Another start may have done it while this one waited.
        if not home.is_installed(outfit, machine):
            install_pins(outfit, home, machine)


def missing_packages(outfit: Outfit, machine: Machine, *, with_environment: bool) -> tuple[str, ...]:
    """Name the Debian packages that the machine lacks."""
    missing = []
    if with_environment and not (machine.has_module("venv") and machine.has_module("ensurepip")):
        # The versioned package, since python3-venv serves only the distribution's default Python.
        missing.append(f"python{machine.version[0]}.{machine.version[1]}-venv")
    for part in outfit.parts:
        loads = all(machine.has_library(name) for name in part.libraries)
        runs = not part.programs or any(machine.has_program(name) for name in part.programs)
        if not (loads and runs):
            missing.append(part.package)
    return tuple(missing)


def install_packages(packages: Sequence[str], machine: Machine) -> None:
    """Install Debian packages where we may; otherwise stop with the one command that does it."""
    update = ["apt-get", "update"]
    install = ["apt-get", "install", "-y", "--no-install-recommends", *packages]
    listed = ", ".join(packages)
    if not machine.has_program("apt-get"):
        raise CannotSetUpError(
            f"Missing on this machine: {listed}.\n"
            "Those are Debian's names and there is no apt-get here: install their equivalents, then run this again."
        )
    if not machine.is_root():
        command = f"{' '.join(update)} && {' '.join(install)}"
        command = f"sudo sh -c '{command}'" if machine.has_program("sudo") else f"su -c '{command}'"
        raise CannotSetUpError(
            f"Missing on this machine: {listed}.\nRun this once, then the same command again:\n  {command}"
        )
    machine.say(f"Setting up, once: system packages {listed} …")
    if machine.run(update) != 0:
        machine.say("apt-get update failed; going on with the package lists that are here.")
    if machine.run(install) != 0:
        raise CannotSetUpError(f"apt-get could not install {listed}; its own messages stand above.")


def install_pins(outfit: Outfit, home: Home, machine: Machine) -> None:
    """Install the pinned packages into the environment, making it first where there is none that fits."""
    for stamp in home.environment.glob("installed-*"):
        stamp.unlink()
    here = machine.version_of(home.python)
    make = [machine.python, "-m", "venv", str(home.environment)]
    if here != machine.version:
        why = "" if here is None else f" (the one there is of Python {here[0]}.{here[1]})"
        machine.say(f"Setting up, once: .venv for Python {machine.version[0]}.{machine.version[1]}{why} …")
        make.insert(3, "--clear")
    if machine.run(make) != 0:
        raise CannotSetUpError(f"Could not make {home.environment}; the messages stand above.")
    pins = home.pins(outfit.name)
    count = sum("==" in line for line in pins.read_text(encoding="utf-8").splitlines())
    machine.say(f"Setting up, once: {count} pinned packages into .venv (a minute or so) …")
    pip = [str(home.python), "-m", "pip", "--disable-pip-version-check", "install", "-qq", "--no-input"]
    if machine.run([*pip, "--require-hashes", "--no-deps", "--only-binary=:all:", "--requirement", str(pins)]) != 0:
        raise CannotSetUpError("pip could not install the pinned packages; its own messages stand above.")
    for name in (*outfit.covers, outfit.name):
        partial = home.stamp(name).with_name(f"partial-{name}")
        partial.write_text(home.stamp_text(name, machine.version), encoding="ascii")
        partial.replace(home.stamp(name))
    machine.say("Setting up: done.")
