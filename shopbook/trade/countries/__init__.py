"""The countries that the program knows, one TOML file each: money, paper, units, dates, words, sides, usual taxes,
which holidays are offered, what air rules set for makers.

Another country is another file and nothing else. The law differs by place and year: every rate and rule is the usual
one, for the shop and its accountant to confirm.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from shopbook.trade.air.categories import read_limits
from shopbook.trade.air.voc import Limit
from shopbook.trade.billing.exempt import ExemptionKind
from shopbook.trade.billing.small_papers import SmallPapers, read_small_papers
from shopbook.trade.car.sides import Sides, SideWay, read_sides
from shopbook.trade.errors import NotFound, RuleBroken
from shopbook.trade.letters import find_word, say_in
from shopbook.trade.measures.amounts import format_minor, minor_for_field, parse_minor
from shopbook.trade.measures.currencies import currency_places, currency_symbol
from shopbook.trade.measures.days import ClockForm, DateForm
from shopbook.trade.pricing.materials import MaterialsRule


@dataclass(frozen=True, slots=True)
class UsualTax:
    """A kind of tax: its rate in thousandths of a percent, the line kinds that it falls on, where it was read and when.

    `kinds_with_goods` fall under it on a bill with something that stays on the car; see `billing/falls.py`.
    """

    code: str
    name: str
    rate_thousandths: int
    line_kinds: tuple[str, ...]
    source: str
    read_on: date | None
    kinds_with_goods: tuple[str, ...] = ()


class TaxAsks(StrEnum):
    """What a new shop is asked before its first price that carries tax."""

    NOTHING = "nothing"
    """The usual rates of the country are there, to confirm."""
    SALES_TAX = "sales_tax"
    PROVINCE = "province"


@dataclass(frozen=True, slots=True)
class Province:
    """A place of a country that has its own rate, named by choosing it."""

    code: str
    name: str
    tax: UsualTax


@dataclass(frozen=True, slots=True)
class StateHabit:
    """What a state usually answers to what `trade/billing/sales_tax.py` asks, for the shop to check."""

    name: str
    labour: str
    goods: str
    apart: str
    source: str
    read_on: date


@dataclass(frozen=True, slots=True)
class Holidays:
    """Which calendar of the general library is offered to a shop, and in which language; "" for none, or its usual."""

    calendar: str = ""
    language: str = ""


@dataclass(frozen=True, slots=True)
class Country:
    """What the first question of a new book decides."""

    code: str
    name: str
    currency: str
    locale: str
    """How amounts are written and read here, as the locale data name it: "en_US"."""
    zones: tuple[str, ...]
    """Time zones of the country, the likeliest first."""
    paper_size: str
    units: Mapping[str, str]
    """Unit by kind: length, area, volume, mass, temperature, distance, film."""
    date_form: DateForm
    clock_form: ClockForm
    tax_word: str
    tax_number_word: str
    tax_asks: TaxAsks
    usual_taxes: tuple[UsualTax, ...]
    """Empty where the tax is asked: no rate of ours stands in for the shop's."""
    provinces: tuple[Province, ...]
    states: tuple[StateHabit, ...]
    deposit_treatment: str
    """taxed or held, until the shop's accountant says otherwise."""
    registered_owner_pays_tax: bool
    """A registered owner pays the excess and all the tax where an insurer pays the rest."""
    materials_rule: MaterialsRule
    """How paint and materials are charged until the shop decides; insurers go by the refinish hour everywhere."""
    plain_panels: Mapping[str, str]
    """What a panel is called with its side as left or right, by panel code."""
    side_ways: Mapping[SideWay, Sides]
    """The ways of naming a car's sides that a shop may choose from, the usual one first."""
    sides: Sides
    """The way that is chosen."""
    invoice_note: str
    """What to tell a shop in a place that wants certified invoices; empty elsewhere."""
    holidays: Holidays
    air_limits: tuple[Limit, ...]
    """What a rule of the country sets for makers of paint; empty where none is known: never another country's."""
    words: Mapping[str, str] = field(default_factory=dict)
    """What differs between countries, by key: "colour" is "color" here; what is not named is said as in Britain."""
    small_papers: SmallPapers | None = None
    """Up to which sum a paper needs no customer; None where no rule is known here."""
    exemptions: tuple[ExemptionKind, ...] = ()
    """Certificates that customers are charged no tax for; empty where none is known here."""
    part_marks: Mapping[str, str] = field(default_factory=dict)
    """What papers say of a bought part, by its source; empty where they say nothing of it."""
    registration_word: str = ""
    """How the number is called under which the state has registered the shop; empty where none is known."""
    approvals_on_invoice: bool = False
    """An invoice says when, by whom and how each approval was given."""
    no_tax_note: str = ""
    """What a shop that is not registered prints in the place of tax; empty where nothing is asked for."""
    debt_relief_months: int = 0
    """From so many months after due day and supply the tax in a debt written off may be claimable; zero: not known."""
    supply_invoice_days: int = 0
    """By supply: an invoice issued at most so many days after the work was done moves its tax to its own day."""
    is_base_water: bool = False
    """Whether shops usually spray waterborne base; where not, the first page asks."""
    kept_places: int | None = None
    """Decimals that a started book keeps; none for those of the currency today."""

    @property
    def currency_places(self) -> int:
        """Decimals of its money."""
        return currency_places(self.currency) if self.kept_places is None else self.kept_places

    @property
    def currency_symbol(self) -> str:
        """The sign of its money, with a space behind letters."""
        return currency_symbol(self.currency, self.locale)

    def money(self, minor: int, *, has_symbol: bool = True) -> str:
        """Minor units of its money as they are written here."""
        return format_minor(minor, self.currency_places, self.currency_symbol if has_symbol else "", self.locale)

    def read_money(self, text: str, *, field: str | None = None) -> int:
        """What was typed as an amount of its money, in minor units; RuleBroken with a sentence."""
        return parse_minor(text, self.currency_places, locale=self.locale, field=field)

    @property
    def own_small_papers(self) -> SmallPapers | None:
        """The rule for small papers, where the book's money is the one that it speaks of."""
        rule = self.small_papers
        return rule if rule is not None and rule.currency == self.currency else None

    def money_for_field(self, minor: int) -> str:
        """Minor units as they would be typed here."""
        return minor_for_field(minor, self.currency_places, self.locale)

    def word(self, key: str) -> str:
        """The word of this country for a key of `[words]`: "color" for "colour", and "Color" for "Colour".

        KeyError for a key that no country has.
        """
        return find_word(self.words, key)

    def say(self, sentence: str) -> str:
        """A sentence of ours with its keys in this country's words: "Enter the {colour} code." What is no key stays."""
        return say_in(self.words, sentence)

    def panel(self, code: str) -> str:
        """What a panel is called in a list: "left front door"; an unknown code is said as it stands."""
        return self.sides.listed(code, self._plain(code))

    def floor_panel(self, code: str) -> str:
        """What a panel is called on a floor list or a label: "LH front door"."""
        return self.sides.on_floor(code, self._plain(code))

    def both_sides(self, code: str) -> str:
        """What a left panel and the one across are called alike: "front door"."""
        return self._plain(code).removeprefix("left ")

    def _plain(self, code: str) -> str:
        return self.plain_panels.get(code, code.replace("_", " "))

    @property
    def panels(self) -> dict[str, str]:
        """What every panel is called in a list, by panel code."""
        return {code: self.panel(code) for code in self.plain_panels}

    @property
    def usual_sides(self) -> SideWay:
        """How a car's sides are named here until the shop chooses another way."""
        return next(iter(self.side_ways))


def load_country(text: str) -> Country:
    """A country from the text of its file. KeyError or TOMLDecodeError for a file that is not whole."""
    told = tomllib.loads(text)
    ways = read_sides(told.pop("sides"))
    return Country(
        plain_panels=told.pop("panels"),
        side_ways=ways,
        sides=next(iter(ways.values())),
        tax_asks=TaxAsks(told.pop("tax_asks")),
        usual_taxes=tuple(_tax(tax) for tax in told.pop("taxes", ())),
        provinces=tuple(Province(each["code"], each["name"], _tax(each["tax"])) for each in told.pop("provinces", ())),
        states=tuple(StateHabit(**each) for each in told.pop("states", ())),
        zones=tuple(told.pop("zones")),
        date_form=DateForm(told.pop("date_form")),
        clock_form=ClockForm(told.pop("clock_form")),
        materials_rule=MaterialsRule(told.pop("materials_rule")),
        holidays=Holidays(**told.pop("holidays", {})),
        air_limits=read_limits(told.pop("air", {})),
        exemptions=tuple(ExemptionKind(**each) for each in told.pop("exemptions", ())),
        small_papers=read_small_papers(told.pop("small_papers", None), told["currency"]),
        words=_usual_words() | told.pop("words", {}),
        **told,
    )


@cache
def _usual_words() -> dict[str, str]:
    """What a country without words of its own says."""
    return dict(tomllib.loads(files("shopbook.trade.countries").joinpath("gb.toml").read_text("utf-8"))["words"])


def _tax(told: Mapping[str, Any]) -> UsualTax:
    kinds = tuple(told["line_kinds"])
    return UsualTax(told["code"], told["name"], told["rate_thousandths"], kinds, told["source"], told["read_on"])


@cache
def known_countries() -> tuple[Country, ...]:
    """Every country that the program knows, by name; "Somewhere else" comes last."""
    return read_countries(files("shopbook.trade.countries"))


def read_countries(folder: Traversable) -> tuple[Country, ...]:
    """The countries whose files stand in a folder, by name, "Somewhere else" last; errors as of `load_country`."""
    found = [load_country(file.read_text("utf-8")) for file in folder.iterdir() if file.name.endswith(".toml")]
    return tuple(sorted(found, key=lambda country: (country.code == "other", country.name)))


@cache
def known_country(code: str) -> Country:
    """The country of a code; NotFound for one that has no file."""
    for country in known_countries():
        if country.code == code:
            return country
    raise NotFound("Choose a country from the list.")


def zone_in(country: Country, named: str) -> str:
    """The time zone of a shop there: the only one of the country, or of several the one that was named.

    RuleBroken (field `zone`) where none was named, or one of another country: only the shop knows which is its own.
    """
    if len(country.zones) == 1:
        return country.zones[0]
    if not named:
        raise RuleBroken("Choose your time zone.", "zone")
    if named not in country.zones:
        raise RuleBroken(f"Choose a time zone listed under {country.name}.", "zone")
    return named


def in_currency(country: Country, code: str, places: int | None = None) -> Country:
    """The country with amounts in another currency, as a border shop has them; a started book gives its `places`."""
    if (code, places) == (country.currency, country.kept_places):
        return country
    return replace(country, currency=code, kept_places=places)


@cache
def country_in_book(code: str, currency: str, places: int) -> Country:
    """The country of a started book, in its currency with the decimals that it keeps."""
    return in_currency(known_country(code), currency, places)


def in_sides(country: Country, way: str | None) -> Country:
    """The country with a car's sides named in that way; its usual one where the shop chose none that is said here."""
    known = {str(each): sides for each, sides in country.side_ways.items()}
    return replace(country, sides=known.get(way or "", country.sides))
