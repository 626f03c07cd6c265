"""The countries that the program knows, one TOML file each: money, paper, units, dates, words, usual taxes.

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
from shopbook.trade.pricing.materials import MaterialsRule


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
    materials_rule: MaterialsRule
    """How paint and materials are charged until the shop decides; insurers go by the refinish hour everywhere."""
    panels: Mapping[str, str]
    """What a panel is called, by panel code."""
    invoice_note: str
    """What to tell a shop in a place that wants certified invoices; empty elsewhere."""

    def panel(self, code: str) -> str:
        """What a panel is called here, in lower case; an unknown code is said as it stands."""
        return self.panels.get(code, code.replace("_", " "))


def load_country(text: str) -> Country:
    """A country from the text of its file. KeyError or TOMLDecodeError for a file that is not whole."""
    told = tomllib.loads(text)
    taxes = tuple(
        UsualTax(tax["code"], tax["name"], tax["rate_thousandths"], tuple(tax["line_kinds"]))
        for tax in told.pop("taxes")
    )
    return Country(
        usual_taxes=taxes,
        zones=tuple(told.pop("zones")),
        date_form=DateForm(told.pop("date_form")),
        clock_form=ClockForm(told.pop("clock_form")),
        materials_rule=MaterialsRule(told.pop("materials_rule")),
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
