"""What a strict reader of HTML finds wrong with a page: the standard's parse errors, and the rules beyond parsing that
checkers go by (WHATWG HTML: content models, ids and references, boolean attributes, times; ARIA in HTML: tables)."""

import re
from collections import Counter
from collections.abc import Iterator
from typing import Any

from justhtml import JustHTML


def _names(words: str) -> frozenset[str]:
    return frozenset(words.split())


BOOLEAN = _names("autofocus checked disabled formnovalidate hidden multiple novalidate open readonly required selected")
REFERRING = ("for", "list", "form", "aria-labelledby", "aria-describedby", "aria-controls", "aria-owns", "headers")
IN_TABLES = _names("table thead tbody tfoot tr td th")
TABLE_ROLES = _names("table rowgroup row cell columnheader rowheader")
PHRASES_ONLY = _names("a b button em h1 h2 h3 h4 h5 h6 i label legend p small span strong summary time")
BLOCKS = _names(
    "article aside blockquote details dialog div dl fieldset figure footer form h1 h2 h3 h4 h5 h6"
    " header hr main nav ol p pre section table ul"
)
TRANSPARENT = {
    "a": BLOCKS,
    "legend": _names("h1 h2 h3 h4 h5 h6"),
    "summary": _names("h1 h2 h3 h4"),
}
"""What some of these may hold all the same: a link holds whatever its parent may."""
CHILDREN = {
    "ul": {"li", "template"},
    "ol": {"li", "template"},
    "dl": {"dt", "dd", "div", "template"},
    "tr": {"td", "th", "template"},
    "table": {"caption", "colgroup", "thead", "tbody", "tfoot"},
    "select": {"option", "optgroup", "hr"},
    "datalist": {"option"},
}
PRESSED = _names("a button input select textarea summary label")
TIME = re.compile(r"\d{4}-\d\d(-\d\d([T ]\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:?\d\d)?)?)?|\d\d:\d\d(:\d\d)?")


def faults_of(page: str) -> list[str]:
    """What is wrong with a whole page, a sentence each."""
    document = JustHTML(page, sanitize=False, collect_errors=True)
    every = [node for node in _below(document.root) if not node.name.startswith(("#", "!"))]
    found = [f"{error.code} in line {error.line}" for error in document.errors]
    ids = Counter(node.attrs["id"] for node in every if "id" in node.attrs)
    found += [f'the id "{name}" stands {times} times' for name, times in ids.items() if times > 1]
    for node in every:
        found += [f"<{node.name}>: {fault}" for fault in _faults(node, set(ids))]
    return found


def _below(node: Any) -> Iterator[Any]:
    for child in node.children or ():
        yield child
        yield from _below(child)


def _faults(node: Any, ids: set[str]) -> Iterator[str]:
    yield from _attribute_faults(node.name, node.attrs, ids)
    yield from _child_faults(node)
    if node.name == "time" and "datetime" not in node.attrs and not TIME.fullmatch(node.to_text().strip()):
        yield f'"{node.to_text().strip()}" is no time that a machine reads'
    if node.name in {"a", "button"}:
        inside = {each.name for each in _below(node) if each.name in PRESSED}
        yield from (f"<{name}> in something that is pressed itself" for name in sorted(inside))


def _attribute_faults(name: str, given: dict[str, str | None], ids: set[str]) -> Iterator[str]:
    yield from (f'{key}="{given[key]}"' for key in BOOLEAN & set(given) if (given[key] or key) != key)
    for key in REFERRING:
        lost = set((given.get(key) or "").split()) - ids
        yield from (f'{key} names "{word}", which is not there' for word in sorted(lost))
    if name in IN_TABLES and given.get("role") in TABLE_ROLES:
        yield f'role="{given["role"]}" in a table says again what it is'
    if name == "img" and "alt" not in given:
        yield "no alt"
    yield from (f"{key} is not for a page" for key in given if key == "style" or key.startswith("on"))


def _child_faults(node: Any) -> Iterator[str]:
    held = [child.name for child in node.children or () if not child.name.startswith(("#", "!"))]
    allowed = CHILDREN.get(node.name)
    if allowed is not None:
        yield from (f"<{name}> in it" for name in held if name not in allowed)
    if node.name in PHRASES_ONLY:
        yield from (f"<{name}> in it" for name in held if name in BLOCKS - TRANSPARENT.get(node.name, frozenset()))
