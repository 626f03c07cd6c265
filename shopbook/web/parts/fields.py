"""Fields that read what a shop types (amounts, days, percentages, quantities) and say in a sentence what is wrong."""

import re
from collections.abc import Callable, Mapping
from datetime import date, time
from typing import Any, Generic, TypedDict, TypeVar, Unpack

from wtforms import Field, Form
from wtforms.fields import SelectChoice  # type: ignore[attr-defined]
from wtforms.validators import StopValidation
from wtforms.widgets import DateInput, Input, TextInput, TimeInput

from shopbook.trade.billing import parse_rate, rate_words
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.days import parse_day
from shopbook.trade.measures.quantities import parse_quantity, quantity_for_field
from shopbook.trade.measures.units import Kind, Unit
from shopbook.web.parts.act import shop_now, today
from shopbook.web.parts.forms import Choices, Key, choices
from shopbook.web.parts.frame import country

__all__ = [
    "AmountField",
    "ClockField",
    "DayField",
    "HoursField",
    "Needed",
    "PercentField",
    "QuantityField",
    "SelectChoice",
    "TaxRateField",
    "ThicknessField",
    "TypedField",
    "said_choices",
    "today",
]

Value = TypeVar("Value")
Checks = list[Any] | None  # validators of mixed kinds have no common type in the library's stubs


def said_choices(words: Mapping[Key, str]) -> Callable[[], Choices]:
    """The choices of a select field whose words differ by country, said when the field is shown."""
    return lambda: choices({value: country().say(said) for value, said in words.items()})


class Options(TypedDict, total=False):
    """What a field takes besides, as WTForms has it."""

    description: str
    default: object


class Needed:
    """A validator: the field must not be left empty."""

    def __init__(self, sentence: str) -> None:
        self.sentence = sentence

    def __call__(self, form: Form, field: Field) -> None:
        if not (field.raw_data and isinstance(field.raw_data[0], str) and field.raw_data[0].strip()):
            field.errors = []
            raise StopValidation(self.sentence)


class TypedField(Field, Generic[Value]):
    """The base: `data` is what was meant, None for an empty field; what was typed stays when it cannot be read."""

    widget: Input = TextInput()
    data: Value | None

    @property
    def given(self) -> Value:
        """What was meant, of a field that `Needed` does not let through empty."""
        assert self.data is not None
        return self.data

    def read(self, text: str) -> Value:
        """What was typed as a value; RuleBroken with a sentence."""
        raise NotImplementedError

    def show(self, value: Value) -> str:
        """A value as it would be typed."""
        raise NotImplementedError

    def process_formdata(self, valuelist: list[object]) -> None:
        text = str(valuelist[0]).strip() if valuelist else ""
        self.data = None
        try:
            self.data = self.read(text) if text else None
        except RuleBroken as broken:
            raise ValueError(broken.sentence) from broken

    def _value(self) -> str:
        if self.raw_data:
            return str(self.raw_data[0])
        return "" if self.data is None else self.show(self.data)


class AmountField(TypedField[int]):
    """Money of the book's currency; `data` in minor units. Less than nothing is refused unless `is_signed`."""

    def __init__(
        self, label: str, validators: Checks = None, *, is_signed: bool = False, **options: Unpack[Options]
    ) -> None:
        super().__init__(label, validators, **options)
        self.is_signed = is_signed

    def read(self, text: str) -> int:
        minor = country().read_money(text)
        if minor < 0 and not self.is_signed:
            raise RuleBroken("Enter an amount that is not below zero.")
        return minor

    def show(self, value: int) -> str:
        return country().money_for_field(value)


class DayField(TypedField[date]):
    """A day; `data` is a date."""

    widget = DateInput()

    def read(self, text: str) -> date:
        return parse_day(text, country().date_form)

    def show(self, value: date) -> str:
        return value.isoformat()


class ClockField(TypedField[time]):
    """A time of day by the shop's clock; `data` is a time."""

    widget = TimeInput()

    def read(self, text: str) -> time:
        found = re.fullmatch(r"(\d{1,2})[:.](\d{2})(?::\d{2})?", text)
        if not found or int(found[1]) > 23 or int(found[2]) > 59:
            raise RuleBroken("Enter a time, for example 8:00 or 17:30.")
        return time(int(found[1]), int(found[2]))

    def show(self, value: time) -> str:
        return value.strftime("%H:%M")


class PercentField(TypedField[int]):
    """A percentage with at most one decimal; `data` in thousandths of the whole, so 25 % is 250."""

    def __init__(self, label: str, validators: Checks = None, *, most: int = 1000, **options: Unpack[Options]) -> None:
        super().__init__(label, validators, **options)
        self.most = most

    def read(self, text: str) -> int:
        found = re.fullmatch(r"(\d{1,4})(?:[.,](\d))?\s*%?", text)
        permille = int(found[1]) * 10 + int(found[2] or 0) if found else -1
        if not 0 <= permille <= self.most:
            raise RuleBroken(f"Enter a percentage from 0 to {self.most // 10}, for example 25 or 12.5.")
        return permille

    def show(self, value: int) -> str:
        whole, part = divmod(value, 10)
        return f"{whole}.{part}" if part else str(whole)


class HoursField(TypedField[int]):
    """Hours with decimals ("37.5"); `data` in minutes."""

    def __init__(self, label: str, validators: Checks = None, *, most: int = 168, **options: Unpack[Options]) -> None:
        super().__init__(label, validators, **options)
        self.most = most

    def read(self, text: str) -> int:
        found = re.fullmatch(r"(\d{1,3})(?:[.,](\d{1,2}))?\s*h?", text)
        hundredths = int(found[1]) * 100 + int((found[2] or "0").ljust(2, "0")) if found else -1
        if not 0 <= hundredths <= self.most * 100:
            raise RuleBroken(f"Enter hours from 0 to {self.most}, for example 40 or 37.5.")
        return divide_half_away(hundredths * 60, 100)

    def show(self, value: int) -> str:
        whole, part = divmod(divide_half_away(value * 100, 60), 100)
        return f"{whole}.{part:02d}".rstrip("0") if part else str(whole)


class WorkingDaysField(TypedField[int]):
    """Working days with at most one decimal ("1.5"); `data` in tenths."""

    def read(self, text: str) -> int:
        found = re.fullmatch(r"(\d{1,2})(?:[.,](\d))?", text)
        if not found:
            raise RuleBroken("Enter working days from 0 to 99, for example 2 or 1.5.")
        return int(found[1]) * 10 + int(found[2] or 0)

    def show(self, value: int) -> str:
        whole, part = divmod(value, 10)
        return f"{whole}.{part}" if part else str(whole)


class TaxRateField(TypedField[int]):
    """A rate of tax; `data` in thousandths of a percent."""

    def read(self, text: str) -> int:
        return parse_rate(text)

    def show(self, value: int) -> str:
        return rate_words(value).removesuffix(" %")


class QuantityField(TypedField[int]):
    """A quantity in the shop's unit of a kind; `data` in thousandths of the base unit (ml, g, m², mm, µm, °C)."""

    def __init__(self, label: str, validators: Checks = None, *, kind: Kind, **options: Unpack[Options]) -> None:
        super().__init__(label, validators, **options)
        self.kind = kind

    @property
    def unit(self) -> Unit:
        """The unit that the shop types."""
        return shop_now().units.shown(self.kind)

    def read(self, text: str) -> int:
        return parse_quantity(text, self.unit, locale=country().locale)

    def show(self, value: int) -> str:
        return quantity_for_field(value, self.unit, country().locale)


class ThicknessField(QuantityField):
    """A depth or a film as it was measured: µm, mil, mm or inches; a bare number is in the shop's unit of `kind`.

    `data` is in thousandths of the base unit of `kind`: 4.5 mil typed for a depth are 114 thousandths of a mm.
    """

    def read(self, text: str) -> int:
        try:
            return super().read(text)
        except RuleBroken as broken:
            other = Unit.UM if self.kind is Kind.LENGTH else Unit.MM
            try:
                found = parse_quantity(text, other, locale=country().locale)
            except RuleBroken:
                raise broken from None
            # A thousandth of a millimetre is a whole micrometre.
            return divide_half_away(found, 1000) if self.kind is Kind.LENGTH else found * 1000
