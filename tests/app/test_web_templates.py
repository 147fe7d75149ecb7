"""The templates agree with their dataclasses, and no page carries what the content policy forbids."""

import re
from dataclasses import fields

import pytest
from jinja2 import Environment, FileSystemLoader, meta, nodes

from app.web.contexts import TEMPLATES
from app.web.rendering import TEMPLATE_FOLDER

GLOBALS = {"static"}
SOURCES = sorted(TEMPLATE_FOLDER.glob("*.html"))


def _environment() -> Environment:
    return Environment(loader=FileSystemLoader(TEMPLATE_FOLDER), autoescape=True)


def _family(environment: Environment, name: str) -> set[str]:
    """The template with everything it extends, includes or imports."""
    found: set[str] = set()
    waiting = [name]
    while waiting:
        here = waiting.pop()
        if here not in found:
            found.add(here)
            tree = environment.parse((TEMPLATE_FOLDER / here).read_text(encoding="utf-8"))
            waiting += [other for other in meta.find_referenced_templates(tree) if other is not None]
    return found


def _loop_names(environment: Environment, name: str) -> set[str]:
    """Names that a template sets itself, so that what it includes may use them."""
    tree = environment.parse((TEMPLATE_FOLDER / name).read_text(encoding="utf-8"))
    targets = {target.name for target in tree.find_all(nodes.Name) if target.ctx == "store"}
    return targets | {item.target for item in tree.find_all(nodes.Import)}


def variables_of(name: str) -> set[str]:
    """Every variable that a page's template asks its context for."""
    environment = _environment()
    asked: set[str] = set()
    set_here: set[str] = set()
    for member in _family(environment, name):
        tree = environment.parse((TEMPLATE_FOLDER / member).read_text(encoding="utf-8"))
        asked |= meta.find_undeclared_variables(tree)
        set_here |= _loop_names(environment, member)
    return asked - GLOBALS - (set_here - {"name"})


@pytest.mark.parametrize(("page", "template"), TEMPLATES.items(), ids=lambda value: getattr(value, "__name__", value))
def test_a_page_has_exactly_the_fields_its_template_uses(page: type, template: str) -> None:
    held = {field.name for field in fields(page)}
    assert variables_of(template) == held


@pytest.mark.parametrize("source", SOURCES, ids=lambda path: path.name)
def test_no_template_carries_inline_script_or_style(source) -> None:  # type: ignore[no-untyped-def]
    text = source.read_text(encoding="utf-8")
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=|javascript:", text)
    assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", text))


@pytest.mark.parametrize("source", SOURCES, ids=lambda path: path.name)
def test_no_template_names_another_host(source) -> None:  # type: ignore[no-untyped-def]
    assert "//" not in source.read_text(encoding="utf-8").replace("http://www.w3.org/", "")
