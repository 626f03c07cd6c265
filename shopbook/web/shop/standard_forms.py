"""A form for any entry of the catalogue, made from the entry's own fields: what is typed becomes its plain body."""

import re
from collections.abc import Callable, Mapping
from dataclasses import fields
from enum import StrEnum
from functools import cache
from types import UnionType
from typing import Any, Unpack, get_args, get_origin, get_type_hints

from wtforms import BooleanField, Field, SelectField, StringField
from wtforms.validators import Length
from wtforms.widgets import TextArea

from shopbook.trade.catalogue.entries import OWN_SOURCE, Entry, EntryKind
from shopbook.trade.catalogue.reading import SHAPES, entry_body
from shopbook.trade.cautions import Caution, caution_text
from shopbook.trade.errors import RuleBroken
from shopbook.trade.letters import plain_code
from shopbook.trade.measures.units import Kind
from shopbook.web.parts.act import shop_now
from shopbook.web.parts.fields import Checks, Needed, Options, PercentField, QuantityField, SelectChoice, TypedField
from shopbook.web.parts.forms import TicksField, choices
from shopbook.web.parts.frame import said
from shopbook.web.shop.setting_forms import FromDayForm
from shopbook.web.shop.standard_words import CHOICE_WORDS, FIELD_WORDS, HINTS

LEFT_OUT = frozenset({"code", "sure", "source"})
NAMED_BY_CODE = {"wait": "waits", "waits_inside": "waits", "factors": "factors"}
"""Fields that name other entries: chosen by their words, from this table of the catalogue."""
IN_SHOP_UNITS = {
    "area_m2": (Kind.AREA, 1000),
    "skin_um": (Kind.FILM, 1),
    "dry_um": (Kind.FILM, 1),
    "up_to_mm": (Kind.LENGTH, 1),
}
"""Fields typed in the shop's unit; the second figure says in which part of the base unit a float is kept."""

Hint = Any  # what stands as a type hint has no type of its own in the standard library


class NumberField(TypedField[int | float]):
    """A figure; `data` is an int where the entry wants a whole one, else a float."""

    def __init__(
        self, label: str, validators: Checks = None, *, is_whole: bool = False, **options: Unpack[Options]
    ) -> None:
        super().__init__(label, validators, **options)
        self.is_whole = is_whole

    def read(self, text: str) -> int | float:
        if not re.fullmatch(r"-?\d{1,12}" if self.is_whole else r"-?\d{1,12}([.,]\d{1,6})?", text):
            raise RuleBroken("Enter a whole number." if self.is_whole else "Enter a number, for example 12 or 0.5.")
        return int(text) if self.is_whole else float(text.replace(",", "."))

    def show(self, value: float) -> str:
        return f"{value:g}" if isinstance(value, float) else str(value)


class LinesField(Field):
    """A list, one item a line; figures where the entry wants figures; "a: b" where it wants pairs."""

    widget: Any = TextArea()  # the stubs keep this widget for fields of plain text
    data: list[object]

    def __init__(
        self,
        label: str,
        validators: Checks = None,
        *,
        inside: Callable[[str], object] = str,
        **options: Unpack[Options],
    ) -> None:
        super().__init__(label, validators, **options)
        self.inside = inside

    def process_formdata(self, valuelist: list[object]) -> None:
        lines = [line.strip() for line in str(valuelist[0] if valuelist else "").splitlines()]
        try:
            self.data = [self._read(line) for line in lines if line]
        except ValueError as error:
            self.data = []
            raise ValueError("Enter one number per line, or pairs such as 2: 17.") from error

    def _read(self, line: str) -> object:
        if get_origin(self.inside) is tuple:
            first, _, second = line.partition(":")
            return [int(first), int(second)]
        return self.inside(line.replace(",", ".") if self.inside is float else line)

    def _value(self) -> str:
        if self.raw_data:
            return str(self.raw_data[0])
        return "\n".join(": ".join(map(str, row)) if isinstance(row, list) else _figure(row) for row in self.data or ())


class PairsField(Field):
    """A table of names and figures, one a line as "wipes = 4"."""

    widget: Any = TextArea()  # the stubs keep this widget for fields of plain text
    data: dict[str, float]

    def __init__(
        self, label: str, validators: Checks = None, *, is_whole: bool = False, **options: Unpack[Options]
    ) -> None:
        super().__init__(label, validators, **options)
        self.is_whole = is_whole

    def process_formdata(self, valuelist: list[object]) -> None:
        self.data = {}
        for line in str(valuelist[0] if valuelist else "").splitlines():
            if line.strip():
                name, _, figure = line.partition("=")
                try:
                    self.data[name.strip()] = int(figure) if self.is_whole else float(figure.replace(",", "."))
                except ValueError as error:
                    raise ValueError(f"Enter {name.strip() or 'wipes'} = 4, one per line.") from error

    def _value(self) -> str:
        if self.raw_data:
            return str(self.raw_data[0])
        return "\n".join(f"{name} = {_figure(figure)}" for name, figure in (self.data or {}).items())


def _figure(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


class StandardForm(FromDayForm):
    """One entry of the catalogue; made by `standard_form`."""

    names: tuple[str, ...] = ()

    def offer(self) -> None:
        catalogue = shop_now().catalogue
        for field in self:
            if isinstance(field, SelectField) and field.short_name in NAMED_BY_CODE:
                none = {"": "None"} if field.short_name == "wait" else {}
                known = getattr(catalogue, NAMED_BY_CODE[field.short_name])
                field.choices = choices(none | {code: plain_code(code) for code in known})
                continue
            if isinstance(field, SelectField) and isinstance(field.choices, list):
                field.choices = [
                    SelectChoice(each.value, said(CHOICE_WORDS.get(each.value, each.label))) for each in field.choices
                ]

    @classmethod
    def typed(cls, entry: Entry) -> dict[str, object]:
        """The form's data from an entry."""
        return {name: _as_typed(name, value) for name, value in entry_body(entry).items() if name in cls.names}

    def body(self, entry: Entry) -> dict[str, object]:
        """The entry's plain body with what was typed, now the shop's own."""
        whole = entry_body(entry)
        typed = {name: _as_kept(name, self[name].data, whole[name]) for name in self.names}
        return whole | typed | {"sure": 100, "source": OWN_SOURCE}


def _as_typed(name: str, value: object) -> object:
    return round(value * 1000) if name in IN_SHOP_UNITS and isinstance(value, int | float) else value


def _as_kept(name: str, value: object, before: object) -> object:
    if name in NAMED_BY_CODE and isinstance(value, list) and isinstance(before, list):
        # Boxes have no order of their own; what was not changed keeps the one it had.
        return before if set(value) == set(before) else value
    if name not in IN_SHOP_UNITS or not isinstance(value, int):
        return value
    exact = value / 1000
    return round(exact) if isinstance(before, int) else exact


@cache
def standard_form(kind: EntryKind) -> type[StandardForm]:
    """The form of one kind of entry."""
    shape = SHAPES[kind]
    hints = get_type_hints(shape)
    names = tuple(each.name for each in fields(shape) if each.name not in LEFT_OUT)
    made: dict[str, object] = {name: _field(name, hints[name]) for name in names}
    return type("StandardForm", (StandardForm,), made | {"names": names})


def _field(name: str, hint: Hint) -> Field:
    label, about = FIELD_WORDS.get(name, plain_code(name)), HINTS.get(name, "")
    is_optional = isinstance(hint, UnionType)
    hint = get_args(hint)[0] if is_optional else hint
    named = _named_field(name, label, about)
    if named is not None:
        return named
    if hint in (int, float):
        checks = [] if is_optional else [Needed("Enter a number.")]
        return NumberField(label, checks, is_whole=hint is int, description=about)
    if hint is bool:
        return BooleanField(label, description=about)
    return _worded_field(label, about, hint)


def _named_field(name: str, label: str, about: str) -> Field | None:
    """The field of what is not typed as its bare type says; None for anything else."""
    if name == "cautions":
        titles = {each: caution_text(each).title for each in Caution}
        return TicksField(label, choices=choices(titles))
    if name == "wait":
        return SelectField(label, description=about)
    if name in NAMED_BY_CODE:
        return TicksField(label)
    if name == "next_panel_permille":
        return PercentField(label, [Needed("Enter a percentage.")], description=about)
    if name in IN_SHOP_UNITS:
        return QuantityField(label, [Needed("Enter a number.")], kind=IN_SHOP_UNITS[name][0], description=about)
    return None


def _worded_field(label: str, about: str, hint: Hint) -> Field:
    origin: object = get_origin(hint)
    if origin is tuple:
        return LinesField(label, inside=get_args(hint)[0], description=about or "One per line.")
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return PairsField(
            label, is_whole=get_args(hint)[1] is int, description=about or "One per line, for example wipes = 4."
        )
    if issubclass(hint, StrEnum):
        return SelectField(
            label, choices=[SelectChoice(each, each.replace("_", " ")) for each in hint], description=about
        )
    return StringField(label, [Length(max=500, message="Enter at most 500 characters.")], description=about)
