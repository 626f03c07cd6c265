"""Reads a catalogue from its text, overlays the shop's stored edits, and turns entries back into plain rows."""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import MISSING, dataclass, fields, replace
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any, get_type_hints

from shopbook.trade.catalogue.entries import (
    Catalogue,
    CautionKind,
    Entry,
    EntryKind,
    Factor,
    GunKind,
    KnownMaterial,
    KnownWait,
    MixKind,
    Number,
    Panel,
    PanelPrice,
    SmallDentPrice,
    StageKind,
)
from shopbook.trade.catalogue.figures import WORDS, said_entry, words_of, words_without_entry
from shopbook.trade.catalogue.first_words import was_ours
from shopbook.trade.catalogue.links import check_links
from shopbook.trade.catalogue.values import check_range, plain_value, read_value
from shopbook.trade.countries import known_country
from shopbook.trade.errors import RuleBroken

SHAPES: dict[EntryKind, type[Entry]] = {
    EntryKind.PANEL: Panel,
    EntryKind.STAGE: StageKind,
    EntryKind.CAUTION: CautionKind,
    EntryKind.WAIT: KnownWait,
    EntryKind.MATERIAL: KnownMaterial,
    EntryKind.MIX: MixKind,
    EntryKind.PRICE: PanelPrice,
    EntryKind.SMALL_DENT: SmallDentPrice,
    EntryKind.FACTOR: Factor,
    EntryKind.GUN: GunKind,
    EntryKind.NUMBER: Number,
}

TABLES: dict[EntryKind, str] = {
    EntryKind.PANEL: "panels",
    EntryKind.STAGE: "stages",
    EntryKind.CAUTION: "cautions",
    EntryKind.WAIT: "waits",
    EntryKind.MATERIAL: "materials",
    EntryKind.MIX: "mixes",
    EntryKind.PRICE: "prices",
    EntryKind.SMALL_DENT: "small_dents",
    EntryKind.FACTOR: "factors",
    EntryKind.GUN: "guns",
    EntryKind.NUMBER: "numbers",
}
"""The field of a Catalogue that holds each kind."""


@dataclass(frozen=True, slots=True)
class EditedRow:
    """One stored row, holding from a day on: figures and the words that the shop typed; None takes the entry out."""

    kind: str
    code: str
    from_on: date
    body: Mapping[str, Any] | None


def _read_table(kind: EntryKind, rows: Mapping[str, Any]) -> tuple[dict[str, Entry], dict[str, Entry]]:
    """The entries of one kind by code: those in use, and those retired."""
    out = {code for code, body in rows.items() if isinstance(body, dict) and body.pop("is_retired", False)}
    entries = {code: read_entry(kind, code, body) for code, body in rows.items()}
    return entries, {code: entries.pop(code) for code in out}


def read_catalogue(text: str) -> Catalogue:
    """The catalogue in `text` (TOML); an entry that says `is_retired = true` stands only among the retired.

    Raises RuleBroken with a sentence that names the entry and the field.
    """
    try:
        whole = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RuleBroken(f"The catalogue cannot be read: {error}.") from error
    version = whole.pop("version", "")
    if not isinstance(version, str) or not version:
        raise RuleBroken("The catalogue must name its version.")
    unknown = sorted(set(whole) - set(EntryKind))
    if unknown:
        raise RuleBroken(f"The catalogue has no kind of entry called {unknown[0]!r}.")
    tables: dict[str, Any] = {}
    retired: dict[tuple[EntryKind, str], Entry] = {}
    for kind, table in TABLES.items():
        tables[table], out = _read_table(kind, whole.get(kind.value, {}))
        retired |= {(kind, code): entry for code, entry in out.items()}
    catalogue = Catalogue(version=version, **tables, retired=retired)
    check_links(catalogue)
    return catalogue


@cache
def own_catalogue(country: str = "gb") -> Catalogue:
    """The catalogue that ships with the program in the words of a country, read once; any will do for its figures.

    It is the one place where a name or step of the file is said: "Flat the {clear}" is "Block the clear coat" in the
    United States. NotFound for a country that has no file.
    """
    return said_in(read_catalogue(shipped_text()), known_country(country).words)


def said_in(catalogue: Catalogue, words: Mapping[str, str]) -> Catalogue:
    """The catalogue with everything that is ours to say in these words."""
    tables: dict[str, Any] = {
        table: {code: said_entry(entry, words) for code, entry in getattr(catalogue, table).items()}
        for table in TABLES.values()
    }
    retired = {key: said_entry(entry, words) for key, entry in catalogue.retired.items()}
    return replace(catalogue, **tables, retired=retired, words=words)


def shipped_text() -> str:
    """The text of the file that ships with the program."""
    return files("shopbook.trade.catalogue").joinpath("catalogue.toml").read_text(encoding="utf-8")


def overlay(catalogue: Catalogue, rows: Iterable[EditedRow], on: date) -> Catalogue:
    """`catalogue` with the shop's edits that hold on the day `on`; of several for one code the latest wins.

    An edit without a body takes the entry out. Raises RuleBroken where an edit cannot be read, or where what is left
    would point at something that is no longer there.
    """
    latest: dict[tuple[EntryKind, str], EditedRow] = {}
    for row in sorted((row for row in rows if row.from_on <= on), key=lambda row: row.from_on):
        latest[(_kind(row.kind), row.code)] = row
    if not latest:
        return catalogue
    tables: dict[str, Any] = {table: dict(getattr(catalogue, table)) for table in TABLES.values()}
    for (kind, code), row in latest.items():
        if row.body is None:
            tables[TABLES[kind]].pop(code, None)
        else:
            tables[TABLES[kind]][code] = read_stored(catalogue, kind, code, row.body)
    changed = replace(catalogue, **tables)
    check_links(changed)
    return changed


def read_entry(kind: EntryKind | str, code: str, body: Mapping[str, Any]) -> Entry:
    """One entry from a plain dict. Raises RuleBroken with a sentence naming the field that is wrong or missing."""
    shape = SHAPES[_kind(kind)]
    if not isinstance(body, Mapping):
        raise RuleBroken(f"{code} must be a table of fields.")
    known = {each.name: each for each in fields(shape) if each.name != "code"}
    unknown = sorted(set(body) - set(known))
    if unknown:
        raise RuleBroken(f"{code} has no field called {unknown[0]!r}.", unknown[0])
    hints = _hints(_kind(kind))
    found: dict[str, Any] = {}
    for name, each in known.items():
        if name not in body:
            if each.default is MISSING and each.default_factory is MISSING:
                raise RuleBroken(f"{code} needs its {name.replace('_', ' ')}.", name)
            continue
        where = f"{code}: {name}"
        found[name] = read_value(hints[name], body[name], where)
        check_range(found[name], each.metadata.get("least"), each.metadata.get("most"), where)
    return shape(code=code, **found)


def read_stored(catalogue: Catalogue, kind: EntryKind, code: str, body: Mapping[str, Any]) -> Entry:
    """A stored row as an entry: each word that the shop did not type itself is the one that `catalogue` has today.

    The program's cautions stand on a stage whatever was stored: a danger that we learn of does not wait.
    """
    known = getattr(catalogue, TABLES[kind]).get(code) or catalogue.retired.get((kind, code))
    words = words_of(known) if known else words_without_entry(SHAPES[kind], code)
    stored = {name: value for name, value in body.items() if name not in WORDS or not was_ours(kind, code, name, value)}
    if kind is EntryKind.STAGE:
        stored["cautions"] = list(dict.fromkeys([*words.get("cautions", ()), *stored.get("cautions", ())]))
    return read_entry(kind, code, words | stored)


def entry_body(entry: Entry) -> dict[str, Any]:
    """The entry as a plain dict that JSON can hold, without its code; `read_entry` gives it back."""
    return {each.name: plain_value(getattr(entry, each.name)) for each in fields(entry) if each.name != "code"}


def _kind(kind: EntryKind | str) -> EntryKind:
    try:
        return EntryKind(kind)
    except ValueError:
        raise RuleBroken(f"The catalogue has no kind of entry called {kind!r}.") from None


@cache
def _hints(kind: EntryKind) -> dict[str, Any]:
    return get_type_hints(SHAPES[kind])
