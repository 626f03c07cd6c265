"""A doctored catalogue in place of the one that ships: what a later version of the program would come with."""

import json
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from shopbook.queries.shop import rates
from shopbook.trade.catalogue import reading, releases

_CACHED: tuple[Any, ...] = (reading.own_catalogue, releases.own_release, rates._overlaid)
_FILE = Path(reading.__file__).with_name("catalogue.toml")


@contextmanager
def shipping(monkeypatch: pytest.MonkeyPatch, *changes: Callable[[str], str]) -> Iterator[None]:
    """Let the program ship its own file with these changes of the text made; its own again afterwards."""
    text = _FILE.read_text(encoding="utf-8")
    for change in changes:
        text = change(text)
    with monkeypatch.context() as patched:
        patched.setattr(reading, "shipped_text", lambda: text)
        forget()
        try:
            yield
        finally:
            patched.undo()
            forget()


def forget() -> None:
    """What was read of the shipped file, and said of it in a country's words, is read and said anew."""
    for cached in _CACHED:
        cached.cache_clear()


def with_figure(entry: str, field: str, value: object) -> Callable[[str], str]:
    """A change: one field of an entry (named as in the file, "stage.pull") holds another value."""

    def change(text: str) -> str:
        before, head, rest = text.partition(f"\n[{entry}]\n")
        row, gap, after = rest.partition("\n\n[")
        done, count = re.subn(rf"(?m)^{field} = .*$", f"{field} = {json.dumps(value)}", row)
        assert (head, count) == (f"\n[{entry}]\n", 1), field
        return before + head + done + gap + after

    return change


def without(entry: str) -> Callable[[str], str]:
    """A change: an entry is gone."""

    def change(text: str) -> str:
        before, head, rest = text.partition(f"\n[{entry}]\n")
        assert head, entry
        _, gap, after = rest.partition("\n\n[")
        return before + gap + after

    return change


def retiring(entry: str) -> Callable[[str], str]:
    """A change: an entry stands in the file still, but no new book has it."""
    return lambda text: text.replace(f"\n[{entry}]\n", f"\n[{entry}]\nis_retired = true\n")


def with_row(text: str) -> Callable[[str], str]:
    """A change: one entry more, as it would stand in the file."""
    return lambda whole: f"{whole}\n{text}\n"
