"""The rules of the house, held by machines: who may import whom, what is pinned, what may lie where.

Each import contract is broken once on purpose, in a copy of the tree, to show that it would be noticed.
"""

import ast
import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

from app import cli
from app.bootstrap import ROOT
from tests.__main__ import MODES

ROOMS = ("app", "survey", "geometry", "reports", "seed_demo")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
CONTRACTS = {contract["id"]: contract for contract in PROJECT["tool"]["importlinter"]["contracts"]}

# (contract, file, imports that must not be there); a second file is planted where the way there is indirect.
PLANTS = [
    ("layers", "survey/vocabulary.py", "import reports.facts"),
    ("layers", "survey/vocabulary.py", "import app.settings"),
    ("layers", "survey/vocabulary.py", "import geometry.shapes"),
    ("layers", "geometry/shapes.py", "import survey.vocabulary"),
    ("layers", "geometry/shapes.py", "def later():\n    from reports import facts"),
    ("layers", "reports/facts/site.py", "import seed_demo.loader"),
    ("layers", "reports/facts/site.py", "import app.settings"),
    ("layers", "seed_demo/loader.py", "import reports.facts"),
    ("geometry-pure", "geometry/shapes.py", "import sqlmodel"),
    ("geometry-pure", "geometry/shapes.py", "from sqlalchemy.orm import Session"),
    ("geometry-pure", "geometry/shapes.py", "from pydantic import BaseModel"),
    ("geometry-pure", "geometry/shapes.py", "import fastapi"),
    ("geometry-pure", "geometry/shapes.py", "import jinja2"),
    ("geometry-pure", "geometry/shapes.py", "import weasyprint"),
    ("geometry-pure", "geometry/shapes.py", "import httpx"),
    ("kernels", "reports/facts/site.py", "import numba"),
    ("kernels", "app/work.py", "from numba import njit"),
    ("repository", "reports/facts/site.py", "import survey.repository"),
    ("repository", "reports/render.py", "from survey.repository import export_survey"),
    ("repository", "reports/gather.py", "from survey.repository.sites import export_survey"),
    ("repository", "geometry/shapes.py", "import survey.repository"),
    ("edges", "reports/facts/site.py", "import reports.gather"),
    ("edges", "reports/assessment/site.py", "from reports.render import render_pdf"),
    ("edges", "seed_demo/loader.py", "import reports.gather"),
    ("judgement-pure", "reports/facts/site.py", "import sqlmodel"),
    ("judgement-pure", "reports/response/advice.py", "import sqlalchemy"),
    ("judgement-pure", "reports/facts/site.py", "import fastapi"),
    ("judgement-pure", "reports/maps/frame.py", "import jinja2"),
    ("judgement-pure", "reports/facts/site.py", "def later():\n    import weasyprint"),
    ("judgement-pure", "reports/facts/site.py", "import survey.bundle"),  # from there the database is one step away
    ("judgement-pure", "reports/facts/site.py", "import survey.tables.site"),
    ("judgement-pure", "reports/gather_stock.py", "import survey.nouns"),
    ("judgement-pure", "reports/gather.py", "import jinja2"),
    ("judgement-pure", "reports/gather.py", "import weasyprint"),
    ("judgement-pure", "reports/render.py", "import sqlmodel"),
    ("judgement-pure", "reports/render.py", "import survey.bundle"),
    ("catalogue-pure", "survey/vocabulary.py", "import pydantic"),
    ("catalogue-pure", "survey/catalogue/product.py", "import numpy"),
    ("catalogue-pure", "survey/catalogue/product.py", "import survey.tables"),
    ("catalogue-pure", "survey/catalogue/containers.py", "import survey.bundle"),
    ("bootstrap-bare", "app/bootstrap.py", "import pydantic_settings"),
    ("bootstrap-bare", "app/bootstrap.py", "import app.settings"),
    ("bootstrap-bare", "app/cli.py", "import app.commands"),
    ("no-circles", "survey/vocabulary.py", "import survey.tables.site"),
    ("no-circles", "survey/catalogue/product.py", "import survey.catalogue.products"),
    ("no-circles", "reports/facts/site.py", "import reports.assessment"),
    ("no-circles", "geometry/errors.py", "import geometry.shapes"),
    ("no-circles", "app/settings.py", "import app.db"),
]


def broken_contracts(tree: Path) -> tuple[set[str], str]:
    """Run the import linter on a tree; give the ids of the contracts that broke, and what it printed."""
    done = subprocess.run(
        [Path(sys.executable).parent / "lint-imports", "--no-cache", "--no-logo"],
        cwd=tree,
        env={**os.environ, "COLUMNS": "300"},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    verdicts = re.findall(r"^(.+) (KEPT|BROKEN)\b", done.stdout, flags=re.MULTILINE)
    assert {name for name, _ in verdicts} == {contract["name"] for contract in CONTRACTS.values()}, done.stdout
    broken = {name for name, verdict in verdicts if verdict == "BROKEN"}
    assert (done.returncode != 0) == bool(broken)
    return {key for key, contract in CONTRACTS.items() if contract["name"] in broken}, done.stdout


def test_tree_keeps_every_import_contract() -> None:
    broken, output = broken_contracts(ROOT)
    assert broken == set(), output


@pytest.fixture(scope="module")
def copied_tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    tree = tmp_path_factory.mktemp("tree")
    for room in ROOMS:
        shutil.copytree(
            ROOT / room, tree / room, ignore=lambda _, names: [n for n in names if "." in n and n[-3:] != ".py"]
        )
    shutil.copy(ROOT / "pyproject.toml", tree)
    return tree


@pytest.fixture(scope="module")
def broken_before(copied_tree: Path) -> set[str]:
    return broken_contracts(copied_tree)[0]


@pytest.mark.parametrize(("contract", "file", "planted"), PLANTS)
def test_contract_breaks_on_planted_import(
    copied_tree: Path, broken_before: set[str], contract: str, file: str, planted: str
) -> None:
    assert contract not in broken_before, "it has to hold before it can be shown to break"
    path = copied_tree / file
    honest = path.read_text(encoding="utf-8")
    path.write_text(f"{honest}\n\n{planted}\n", encoding="utf-8")
    try:
        broken, output = broken_contracts(copied_tree)
    finally:
        path.write_text(honest, encoding="utf-8")
    assert contract in broken, f"{planted!r} in {file} went unnoticed by {contract}; broken: {sorted(broken)}\n{output}"


def test_every_contract_is_shown_to_break() -> None:
    assert {contract for contract, _, _ in PLANTS} == set(CONTRACTS)


def imported_names(file: Path) -> Iterator[str]:
    """Give the top-level names that a file imports, wherever in it, unless for the type checker alone."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}: imports are absolute"
            yield (node.module or "").partition(".")[0]


@pytest.mark.parametrize(
    "pattern", ["app/__main__.py", "app/bootstrap.py", "app/cli.py", "survey/vocabulary.py", "survey/catalogue/**/*.py"]
)
def test_files_that_stand_on_the_standard_library_import_nothing_else(pattern: str) -> None:
    files = list(ROOT.glob(pattern))
    assert files
    allowed = sys.stdlib_module_names | {pattern.partition("/")[0]}
    strangers = {(file.name, name) for file in files for name in imported_names(file) if name not in allowed}
    assert strangers == set()


def normal(name: str) -> str:
    """Spell a package's name as the packaging standards normalise it (PEP 503)."""
    return re.sub(r"[-_.]+", "-", name).lower()


@pytest.mark.parametrize("contract", ["catalogue-pure", "bootstrap-bare"])
def test_contracts_of_bare_files_name_every_package_of_the_program(contract: str) -> None:
    forbidden = set(CONTRACTS[contract]["forbidden_modules"])
    declared = {normal(name) for name in PROJECT["project"]["dependencies"]}
    modules = {
        module
        for module, distributions in packages_distributions().items()
        if declared & {normal(name) for name in distributions} and not module.startswith("_")
    }
    assert len(modules) >= len(declared)
    assert modules - forbidden == set()


@pytest.mark.parametrize(("rooms", "extra"), [(ROOMS, []), (("tests",), ["test"])], ids=["program", "tests"])
def test_every_package_that_is_imported_is_declared(rooms: tuple[str, ...], extra: list[str]) -> None:
    project = PROJECT["project"]
    declared = {
        normal(name)
        for names in (project["dependencies"], *(project["optional-dependencies"][key] for key in extra))
        for name in names
    }
    own = sys.stdlib_module_names | {*ROOMS, "tests"}
    brought_by = packages_distributions()
    imported = {name for room in rooms for file in (ROOT / room).rglob("*.py") for name in imported_names(file)} - own
    assert len(imported) > 5
    undeclared = {name for name in imported if not declared & {normal(package) for package in brought_by.get(name, [])}}
    assert undeclared == set()


# ── pins ─────────────────────────────────────────────────────────────────────────────────────────────────────────────


def pinned(name: str) -> dict[str, tuple[str, int]]:
    """Read a pin file as package → (version, number of hashes)."""
    pins: dict[str, tuple[str, int]] = {}
    text = (ROOT / ".pins" / f"{name}.txt").read_text(encoding="utf-8")
    for entry in re.sub(r"\s*\\\n\s*", " ", text).splitlines():
        match = re.fullmatch(r"([a-z0-9][a-z0-9-]*)==(\S+)( ; [^#]+?)?((?: --hash=sha256:[0-9a-f]{64})*)", entry)
        assert match is not None, f".pins/{name}.txt: not an exact pin: {entry[:80]!r}"
        assert match[1] not in pins, f".pins/{name}.txt: {match[1]} is pinned twice"
        pins[match[1]] = (match[2], match[4].count("--hash="))
    return pins


@pytest.mark.parametrize("name", ["run", "test"])
def test_every_pin_has_its_hashes(name: str) -> None:
    pins = pinned(name)
    assert len(pins) > 20
    assert [package for package, (_, hashes) in pins.items() if hashes == 0] == []


def test_pins_cover_what_the_project_names() -> None:
    wanted = {normal(package) for package in PROJECT["project"]["dependencies"]}
    wanted_by_tests = {normal(package) for package in PROJECT["project"]["optional-dependencies"]["test"]}
    assert wanted - set(pinned("run")) == set()
    assert (wanted | wanted_by_tests) - set(pinned("test")) == set()


def test_tests_run_on_the_versions_that_the_program_runs_on() -> None:
    tested = pinned("test")
    assert {package: pin for package, pin in pinned("run").items() if tested.get(package) != pin} == {}


# ── what may lie where ───────────────────────────────────────────────────────────────────────────────────────────────


def committed_files() -> list[Path]:
    """List what is committed, or would be with the next commit of everything."""
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).is_file()]


# Spelt in pieces, so that this file does not contain them.
FORBIDDEN_TEXTS = [
    "".join(pieces)
    for pieces in (
        ("pypi", ".org"),
        ("python", "hosted.org"),
        ("npm", "js.org"),
        ("npm", "js.com"),
        ("deb.", "debian.org"),
        ("archive.", "ubuntu.com"),
        ("--index", "-url"),
        ("--find", "-links"),
        ("/wo", "rk/"),
        ("/ro", "ot/"),
        ("/ho", "me/"),
        ("../", "shared"),
        (".lib", "rary/"),
        ("/opt/", "wheels"),
    )
]


def test_no_committed_file_names_a_registry_or_a_place_on_somebodys_machine() -> None:
    files = committed_files()
    assert len(files) > 50
    found = [
        f"{file.relative_to(ROOT)}: {text}"
        for file in files
        for content in [file.read_bytes()]
        for text in FORBIDDEN_TEXTS
        if text.encode() in content
    ]
    assert found == []


def test_top_level_holds_the_house_and_nothing_else() -> None:
    top = {file.relative_to(ROOT).parts[0] for file in committed_files()}
    assert {name for name in top if not name.startswith(".")} == {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "tests",
        *ROOMS,
    }


def test_test_folders_mirror_the_rooms() -> None:
    folders = {
        file.relative_to(ROOT / "tests").parent
        for file in committed_files()
        if file.is_relative_to(ROOT / "tests") and file.name.startswith("test_")
    }
    beside = {"e2e", "bench", "external"}
    assert {folder.parts[0] for folder in folders if folder.parts} >= {"app", "survey", "geometry", "reports"}
    strangers = {
        str(folder)
        for folder in folders
        if folder.parts and folder.parts[0] not in beside and not (ROOT / folder).is_dir()
    }
    assert strangers == set()


# ── commands ─────────────────────────────────────────────────────────────────────────────────────────────────────────


def told_commands(document: str) -> list[list[str]]:
    """Read the commands `python3 -m app|tests …` that a document tells people to type."""
    text = (ROOT / document).read_text(encoding="utf-8")
    blocks = re.findall(r"^```[a-z]*\n(.+?)^```", text, flags=re.MULTILINE | re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines()]
    return [
        shlex.split(match[1], comments=True)
        for line in lines
        if (match := re.search(r"\bpython3 -m ((?:app|tests)\b.*)", line)) is not None
    ]


def test_commands_that_the_readme_tells_exist() -> None:
    commands = told_commands("README.md")
    assert {command[0] for command in commands} == {"app", "tests"}
    assert {command[1] for command in commands if command[0] == "app"} >= {"demo", "serve", "assess"}
    for module, *arguments in commands:
        if module == "app":
            cli.parser().parse_args(arguments)
        else:
            assert not arguments or arguments[0] in MODES or arguments[0] == "--", arguments


def test_a_command_that_does_not_exist_would_be_noticed(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        cli.parser().parse_args(["no-such-command"])
    assert "no-such-command" in capsys.readouterr().err


def test_ci_runs_the_whole_suite() -> None:
    run = ROOT / ".ci" / "run"
    assert os.access(run, os.X_OK)
    assert run.read_text(encoding="utf-8").splitlines()[-1] == "exec python3 -m tests"
