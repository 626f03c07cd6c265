"""The countries that the program knows, one TOML file each: money, paper, units, dates, words, sides, usual taxes.

A further country is a further file. What law asks differs by place and year: every rate and rule is a usual one, for
the shop and its accountant to confirm.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from shopbook.trade.currencies import currency_places, currency_symbol
from shopbook.trade.days import ClockForm, DateForm
from shopbook.trade.errors import NotFound
from shopbook.trade.sides import Sides, SideWay, read_sides


@dataclass(frozen=True, slots=True)
class UsualTax:
    """A kind of tax to confirm: its rate in thousandths of a percent and the line kinds that it falls on."""

    code: str
    name: str
    rate_thousandths: int
    line_kinds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Country:
    """What the first question of a new book decides."""

    code: str
    name: str
    currency: str
    currency_symbol: str
    currency_places: int
    zones: tuple[str, ...]
    """Time zones of the country, the likeliest first."""
    paper_size: str
    units: Mapping[str, str]
    """Unit by kind: length, area, volume, mass, temperature, distance, film."""
    date_form: DateForm
    clock_form: ClockForm
    tax_word: str
    tax_number_word: str
    usual_taxes: tuple[UsualTax, ...]
    deposit_treatment: str
    """taxed or held, until the shop's accountant says otherwise."""
    registered_owner_pays_tax: bool
    """A registered owner pays the excess and all the tax where an insurer pays the rest."""
    plain_panels: Mapping[str, str]
    """What a panel is called with its side as left or right, by panel code."""
    side_ways: Mapping[SideWay, Sides]
    """The ways of naming a car's sides that a shop may choose from, the usual one first."""
    sides: Sides
    """The way that is chosen."""
    invoice_note: str
    """What to tell a shop in a place that wants certified invoices; empty elsewhere."""

    def panel(self, code: str) -> str:
        """What a panel is called in a list: "left front door"; an unknown code is said as it stands."""
        return self.sides.listed(code, self._plain(code))

    def floor_panel(self, code: str) -> str:
        """What a panel is called on a floor list or a label: "LH front door"."""
        return self.sides.on_floor(code, self._plain(code))

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
    taxes = tuple(
        UsualTax(tax["code"], tax["name"], tax["rate_thousandths"], tuple(tax["line_kinds"]))
        for tax in told.pop("taxes")
    )
    ways = read_sides(told.pop("sides"))
    return Country(
        usual_taxes=taxes,
        plain_panels=told.pop("panels"),
        side_ways=ways,
        sides=next(iter(ways.values())),
        zones=tuple(told.pop("zones")),
        date_form=DateForm(told.pop("date_form")),
        clock_form=ClockForm(told.pop("clock_form")),
        **told,
    )


@cache
def known_countries() -> tuple[Country, ...]:
    """Every country that the program knows, by name; "Somewhere else" comes last."""
    found = [
        load_country(file.read_text(encoding="utf-8"))
        for file in files("shopbook.trade.countries").iterdir()
        if file.name.endswith(".toml")
    ]
    return tuple(sorted(found, key=lambda country: (country.code == "other", country.name)))


@cache
def known_country(code: str) -> Country:
    """The country of a code; NotFound for one that has no file."""
    for country in known_countries():
        if country.code == code:
            return country
    raise NotFound("The program does not know that country: choose one from the list.")


def in_currency(country: Country, code: str) -> Country:
    """The country with amounts in the currency of that code, as a border shop or one of no listed country has them."""
    if code == country.currency:
        return country
    return replace(country, currency=code, currency_symbol=currency_symbol(code), currency_places=currency_places(code))


def in_sides(country: Country, way: str | None) -> Country:
    """The country with a car's sides named in that way; its usual one where the shop chose none that is said here."""
    known = {str(each): sides for each, sides in country.side_ways.items()}
    return replace(country, sides=known.get(way or "", country.sides))
