"""What of an entry a book keeps, its figures, and what always comes from the program of today, its words."""

from collections.abc import Mapping
from dataclasses import MISSING, fields, replace
from typing import Any, TypeVar

from shopbook.trade.catalogue.entries import Entry
from shopbook.trade.catalogue.values import plain_value
from shopbook.trade.letters import plain_code, say_in

AnyEntry = TypeVar("AnyEntry", bound=Entry)

WORDS = frozenset(
    {
        "name",
        "why",
        "steps",
        "cautions",
        "own_cautions",
        "reason",
        "title",
        "text",
        "is_stop",
        "meaning",
        "fan",
        "fluid",
    }
)
"""Fields that a book never keeps, unless the shop typed its own."""

BESIDE = frozenset({"sure", "source", "pack_name"})
"""Fields that are kept with the figures they speak of, but are no change by themselves."""


def kept_of(entry: Entry) -> dict[str, Any]:
    """The fields that a book keeps of an entry, as a plain dict without a word of the program's."""
    return {name: value for name, value in _plain(entry).items() if name not in WORDS}


def figures_of(entry: Entry) -> dict[str, Any]:
    """The fields from which plans, prices and records are worked out: two entries with equal ones work alike."""
    return {name: value for name, value in _plain(entry).items() if name not in WORDS | BESIDE}


def words_of(entry: Entry) -> dict[str, Any]:
    """The fields that come from the program."""
    return {name: value for name, value in _plain(entry).items() if name in WORDS}


def said_entry(entry: AnyEntry, words: Mapping[str, str]) -> AnyEntry:
    """The entry with its names, steps and reasons in a country's words: "Matt {clear}" as "Matt lacquer"."""
    told = {name: getattr(entry, name) for name in words_of(entry)}
    return replace(entry, **{name: _said(value, words) for name, value in told.items()})


def words_without_entry(shape: type[Entry], code: str) -> dict[str, str]:
    """Words for an entry that the program no longer knows at all: its code where a word must stand."""
    needed = [each.name for each in fields(shape) if each.default is MISSING and each.default_factory is MISSING]
    return {name: plain_code(code) for name in needed if name in WORDS}


def without_our_words(body: Mapping[str, Any], ours: Mapping[str, Any]) -> dict[str, Any]:
    """A body with only those words left that the shop typed: whatever differs from ours."""
    return {name: value for name, value in body.items() if name not in WORDS or ours.get(name) != value}


def _said(value: Any, words: Mapping[str, str]) -> Any:
    if isinstance(value, tuple):
        return tuple(_said(each, words) for each in value)
    return say_in(words, value) if isinstance(value, str) else value


def _plain(entry: Entry) -> dict[str, Any]:
    return {each.name: plain_value(getattr(entry, each.name)) for each in fields(entry) if each.name != "code"}
