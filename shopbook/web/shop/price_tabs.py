"""The price list beside its panels: what a second panel saves, small dents by count, stone chips by count."""

from collections.abc import Mapping
from typing import cast

from flask import render_template, url_for

from shopbook.queries.jobs.listed import saving_terms_on
from shopbook.services.shop.rates import set_settings, set_standards
from shopbook.trade.catalogue.entries import OWN_SOURCE, EntryKind, Number
from shopbook.trade.catalogue.reading import entry_body
from shopbook.trade.planning.list_price import chips_minor
from shopbook.trade.pricing.listed import price_from_hours
from shopbook.trade.pricing.savings import PaintedItem, SavingTerms, further_savings
from shopbook.web.parts import Act, Answer, Done, act_by_form, needs, shop_now
from shopbook.web.parts.fields import Needed, PercentField
from shopbook.web.shop.price_list import body_hour_minor, holds_tax
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.setting_forms import FromDayForm, SettingForm
from shopbook.web.shop.standard_forms import NumberField

_SAVES = "Enter a percentage, for example 40 or 12.5."
_MINUTES = "Enter minutes, for example 24 or 1.5."
CHIP_FIGURES = ("chip_fixed_minutes", "chip_minutes", "chips_touch_most")
CHIP_COUNTS = (1, 5, 10, 25)
"""Counts of stone chips that the page says a price for."""


class SecondPanelForm(SettingForm):
    """What each further painted panel saves of its own paint hours."""

    second_panel_touching_permille = PercentField("Touching another painted panel, %", [Needed(_SAVES)])
    second_panel_apart_permille = PercentField("Elsewhere on the car, %", [Needed(_SAVES)])


class ChipForm(FromDayForm):
    """The minutes that stone chips are priced by; fields are named after the catalogue's figures."""

    chip_fixed_minutes = NumberField("Minutes once per panel", [Needed(_MINUTES)])
    chip_minutes = NumberField("Minutes per chip", [Needed(_MINUTES)])
    chips_touch_most = NumberField("Up to this many chips", [Needed("Enter a number, for example 25.")], is_whole=True)

    @property
    def figures(self) -> dict[str, int | float]:
        """What was typed, by the code of the figure."""
        return {code: cast("NumberField", self[code]).given for code in CHIP_FIGURES}


@blueprint.route("/settings/price-list/second-panel", methods=["GET", "POST"])
@needs("shop", "set")
def second_panel() -> Answer:
    form = SecondPanelForm(data=SecondPanelForm.typed(shop_now().settings))

    def doing(act: Act) -> Done:
        changed = set_settings(act, form.settings(), form.day)
        return Done(url_for("shop.second_panel"), "Saved." if changed else "Nothing changed.")

    terms = saving_terms_on(shop_now(), "private")
    return act_by_form(form, "shop/second_panel.html", doing, terms=terms, saves=_saves(terms))


def _saves(terms: SavingTerms) -> tuple[int, int]:
    """What a panel of 4.5 paint hours saves beside one of 5.0: where they touch, and elsewhere, in minor units."""
    door = PaintedItem("door", 300)
    touching, apart = PaintedItem("quarter", 270, frozenset({"door"})), PaintedItem("quarter", 270)
    near, far = (sum(each.amount_minor for each in further_savings([door, item], terms)) for item in (touching, apart))
    return near, far


@blueprint.get("/settings/price-list/small-dents")
@needs("shop", "set")
def dent_prices() -> str:
    catalogue, hour_minor = shop_now().catalogue, body_hour_minor()
    classes = sorted(catalogue.small_dents.values(), key=lambda each: each.up_to_mm)
    counts = sorted({count for each in classes for count, _ in each.bands})
    prices = {
        (each.code, count): price_from_hours(tenths, hour_minor) for each in classes for count, tenths in each.bands
    }
    return render_template(
        "shop/dent_prices.html", classes=classes, counts=counts, prices=prices, holds_tax=holds_tax()
    )


@blueprint.route("/settings/price-list/chips", methods=["GET", "POST"])
@needs("shop", "set")
def chip_prices() -> Answer:
    catalogue = shop_now().catalogue
    numbers = catalogue.numbers
    form = ChipForm(data={code: _plain(numbers[code].value) for code in CHIP_FIGURES})

    def doing(act: Act) -> Done:
        bodies = _changed(form, numbers)
        if bodies:
            set_standards(act, bodies, form.day, f"Changed the price of stone chips from {form.day.isoformat()}")
        return Done(url_for("shop.chip_prices"), "Saved." if bodies else "Nothing changed.")

    counts = [count for count in CHIP_COUNTS if count <= numbers["chips_touch_most"].value]
    prices = [(count, chips_minor(catalogue, count, body_hour_minor())) for count in counts]
    is_own = all(numbers[code].is_own for code in CHIP_FIGURES)
    return act_by_form(form, "shop/chip_prices.html", doing, prices=prices, is_own=is_own, holds_tax=holds_tax())


def _changed(form: ChipForm, numbers: Mapping[str, Number]) -> dict[tuple[str, str], dict[str, object]]:
    """The figures that were changed, as whole entries of the shop's own."""
    own = {"sure": 100, "source": OWN_SOURCE}
    return {
        (EntryKind.NUMBER.value, code): entry_body(numbers[code]) | {"value": float(value)} | own
        for code, value in form.figures.items()
        if value != numbers[code].value
    }


def _plain(value: float) -> int | float:
    return int(value) if value == int(value) else value
