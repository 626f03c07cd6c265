"""Nothing lies idle: a template draws what it imports and imports what it draws, each macro, class and verb is used."""

import ast
import re
from functools import cache
from pathlib import Path

from jinja2 import Environment, nodes
from jinja2.meta import find_undeclared_variables

from shopbook.trade.permissions import PERMISSIONS

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "templates"
TEMPLATES = {path.relative_to(FOLDER).as_posix(): path.read_text(encoding="utf-8") for path in FOLDER.rglob("*.html")}
SOURCES = [path.read_text(encoding="utf-8") for path in (ROOT / "shopbook").rglob("*.py")]
STATIC = ROOT / "shopbook" / "web" / "static"


@cache
def pages() -> Environment:
    """Knows the filters that the program gives its pages."""
    made = Environment(autoescape=True)
    made.filters |= dict.fromkeys(("said", "measured", "hours", "hour_figure"), str)
    return made


@cache
def tree_of(name: str) -> nodes.Template:
    return pages().parse(TEMPLATES[name])


def imports_of(name: str) -> set[str]:
    """The names under which a template imports macros."""
    found = (one for node in tree_of(name).find_all(nodes.FromImport) for one in node.names)
    return {one if isinstance(one, str) else one[1] for one in found}


def calls_of(name: str) -> set[str]:
    """The names that a template calls as functions."""
    return {node.node.name for node in tree_of(name).find_all(nodes.Call) if isinstance(node.node, nodes.Name)}


@cache
def parents_of(name: str) -> set[str]:
    """The templates that one extends, and theirs."""
    named = (node.find_all(nodes.Const) for node in tree_of(name).find_all(nodes.Extends))
    found = {str(one.value) for each in named for one in each}
    return found.union(*(parents_of(one) for one in found))


MACROS = {macro.name: name for name in TEMPLATES for macro in tree_of(name).find_all(nodes.Macro) if "macros/" in name}


def names_of(name: str) -> set[str]:
    return {node.name for node in tree_of(name).find_all(nodes.Name)}


def test_a_template_draws_every_macro_that_it_imports() -> None:
    idle = {}
    for name in TEMPLATES:
        heirs = [other for other in TEMPLATES if name in parents_of(other)]
        idle[name] = imports_of(name).difference(*map(names_of, [name, *heirs]))
    assert {name: found for name, found in idle.items() if found} == {}


def test_a_template_imports_every_macro_that_it_draws() -> None:
    """An included part that leans on what the page around it imported breaks on the next page that includes it."""
    macros = set(MACROS).union(*map(imports_of, TEMPLATES))
    missing = {}
    for name in TEMPLATES:
        given = imports_of(name).union(*map(imports_of, parents_of(name)))
        # The frame gives every template a function of this name; a field of it is drawn by the macro.
        wanted = (calls_of(name) & macros & find_undeclared_variables(tree_of(name))) - {"money"}
        missing[name] = wanted - given
    assert {name: found for name, found in missing.items() if found} == {}


def test_every_macro_is_drawn_by_some_template() -> None:
    drawn = {call for name in TEMPLATES for call in calls_of(name)}
    aliases = {
        one[0]
        for name in TEMPLATES
        for node in tree_of(name).find_all(nodes.FromImport)
        for one in node.names
        if not isinstance(one, str)
    }
    assert MACROS.keys() - drawn - aliases == set()


def test_every_class_of_the_stylesheet_stands_in_a_template_or_a_script() -> None:
    sheet = re.sub(r"/\*.*?\*/", "", (STATIC / "look.css").read_text(encoding="utf-8"), flags=re.DOTALL)
    written = [*TEMPLATES.values(), *SOURCES, *(path.read_text(encoding="utf-8") for path in STATIC.glob("*.js"))]
    words = {word for text in written for word in re.findall(r"[A-Za-z][\w-]*", text)}
    assert set(re.findall(r"\.([a-z][\w-]*)", re.sub(r"url\([^)]*\)", "", sheet))) - words == set()


def test_every_permission_is_asked_somewhere() -> None:
    calls = (node for text in SOURCES for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Call))
    asked = {tuple(each.value for each in node.args if isinstance(each, ast.Constant)) for node in calls}
    on_pages = {pair for text in TEMPLATES.values() for pair in re.findall(r'may\("(\w+)", "(\w+)"\)', text)}
    assert set(PERMISSIONS) - asked - on_pages == set()
