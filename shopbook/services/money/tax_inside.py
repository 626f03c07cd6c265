"""Whether prices hold the tax is switched from a day, and the list's figures are converted once or mean the other."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from shopbook.queries.money.kerb import SHARES
from shopbook.queries.money.pricing import bill_rates_on, tax_codes_on
from shopbook.queries.shop.rates import catalogue_on, labour_rates_on, setting_on
from shopbook.services.act import Act
from shopbook.services.shop.rates import set_labour_rates, set_settings, set_standard
from shopbook.services.shop.taxes import want_tax
from shopbook.trade.billing import LineKind
from shopbook.trade.catalogue.entries import EntryKind
from shopbook.trade.catalogue.reading import entry_body
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.shapes import PaintChoice
from shopbook.trade.pricing.listed import ListFigures, TaxSwitch
from shopbook.trade.settings import SettingName

_LABOUR = {LineKind.LABOUR: 1000}


def set_money_rules(
    act: Act,
    values: Mapping[SettingName, Any],
    from_on: date,
    figures: str = "",
) -> list[SettingName]:
    """The rules of money from a day; answers those that changed, as `set_settings`.

    Where "prices hold the tax" is switched, `figures` says what becomes of the price list, the rates of an hour and
    the materials of a paint hour (`ListFigures`): 950.00 with 20 % inside is 791.67 without. RuleBroken, naming
    `list_figures`, where it is switched and nothing is said, and for a conversion before the tax is set. What is set
    already for a later day is not converted.
    """
    holds_tax = bool(values[SettingName.PRICES_HOLD_TAX])
    if holds_tax == bool(setting_on(act.session, SettingName.PRICES_HOLD_TAX, from_on)):
        return set_settings(act, values, from_on)
    if figures not in set(ListFigures):
        raise RuleBroken("Choose whether your prices stay as typed or are converted.", "list_figures")
    if figures == ListFigures.STAY:
        return set_settings(act, values, from_on)
    switch = _switch(act.session, from_on, to_inside=holds_tax)
    for name in (SettingName.MATERIALS_REFINISH_HOUR_MINOR, SettingName.MATERIALS_PER_PAINT_HOUR_MINOR):
        if values.get(name) == setting_on(act.session, name, from_on):
            values = {**values, name: switch.of(values[name], {LineKind.MATERIALS: 1000})}
    changed = set_settings(act, values, from_on)
    rates = labour_rates_on(act.session, from_on)
    set_labour_rates(act, {key: switch.of(rate, _LABOUR) for key, rate in rates.items()}, from_on)
    _convert_list(act, from_on, switch)
    return changed


def _switch(session: Session, day: date, *, to_inside: bool) -> TaxSwitch:
    try:
        want_tax(session, day)
    except RuleBroken as broken:
        raise RuleBroken(broken.sentence, "list_figures") from broken
    return TaxSwitch(tax_codes_on(session, day), bill_rates_on(session, day), to_inside)


def _convert_list(act: Act, from_on: date, switch: TaxSwitch) -> None:
    """Only what the shop typed: the other prices follow the rate of an hour, which is converted already."""
    for code, price in catalogue_on(act.session, from_on).prices.items():
        if price.set_minor:
            own = {cell: switch.of(minor, _shares(cell)) for cell, minor in price.set_minor.items()}
            body = entry_body(price) | {"set_minor": own}
            set_standard(act, EntryKind.PRICE, code, body, from_on)


def _shares(cell: str) -> Mapping[LineKind, int]:
    """What a price of the list is for, by the habit of the quick estimate; a cell is "size.paint"."""
    return _LABOUR if cell.endswith(f".{PaintChoice.NO_PAINT}") else SHARES
