"""Every public function and method of this room says what goes in, in which unit, what comes out, what it refuses."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import geometry

Function = ast.FunctionDef
ROOM = Path(geometry.__file__).parent


def public_functions() -> Iterator[tuple[str, Function]]:
    for file in sorted(ROOM.glob("*.py")):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield f"{file.stem}.{node.name}", node
            elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                for inner in node.body:
                    if (
                        isinstance(inner, ast.FunctionDef)
                        and not inner.name.startswith("_")
                        and not inner.decorator_list
                    ):
                        yield f"{file.stem}.{node.name}.{inner.name}", inner


FUNCTIONS = dict(public_functions())


def section(docstring: str, name: str) -> str | None:
    found = re.search(rf"^{name}\n-+\n(.*?)(?=^\w[\w ]*\n-+\n|\Z)", docstring, flags=re.MULTILINE | re.DOTALL)
    return None if found is None else found[1]


def described(docstring: str) -> dict[str, str]:
    """Parameters by name with what is said of each; *a, b : float* says it of both."""
    found: dict[str, str] = {}
    for names, rest in re.findall(
        r"^(\w[\w, ]*?)(?: : |\n)(.*?)(?=^\w|\Z)",
        section(docstring, "Parameters") or "",
        flags=re.MULTILINE | re.DOTALL,
    ):
        found.update({name.strip(): rest for name in names.split(",")})
    return found


def arguments(function: Function) -> dict[str, str]:
    given = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    return {arg.arg: ast.unparse(arg.annotation) if arg.annotation else "" for arg in given if arg.arg != "self"}


def test_there_is_something_to_look_at() -> None:
    assert len(FUNCTIONS) > 70
    assert {"spill_reach.spread", "spill_reach.Spread.pool", "orifice.outflow_m3_s"} <= set(FUNCTIONS)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_docstring_tells_inputs_units_output_and_refusals(name: str) -> None:
    function = FUNCTIONS[name]
    docstring = ast.get_docstring(function) or ""
    wanted = arguments(function)
    told = described(docstring)
    assert set(told) == set(wanted)
    for argument, annotation in wanted.items():
        # A number without its unit is read as none.
        if annotation in {"float", "float | None"}:
            assert "[" in told[argument] or "As in" in told[argument], f"no unit for {argument}"
    if function.returns is not None and ast.unparse(function.returns) != "None":
        assert section(docstring, "Returns"), "no Returns"
    if any(isinstance(node, ast.Raise) and "GeometryRefused" in ast.unparse(node) for node in ast.walk(function)):
        assert "GeometryRefused" in (section(docstring, "Raises") or ""), "no Raises"


def test_a_docstring_that_lies_would_be_noticed() -> None:
    text = ast.get_docstring(
        ast.parse(
            '''"""Do it.

            Parameters
            ----------
            a, b : float
                Lengths [m].
            c : float
                No unit.

            Returns
            -------
            float
            """'''.replace("            ", "")
        )
    )
    assert text is not None
    told = described(text)
    assert set(told) == {"a", "b", "c"}
    assert "[" in told["a"]
    assert "[" in told["b"]
    assert "[" not in told["c"]
    assert section(text, "Raises") is None
    assert (section(text, "Returns") or "").strip() == "float"
