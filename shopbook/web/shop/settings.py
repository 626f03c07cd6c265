"""Settings: one index and a page for each section, with a day where it applies from one."""

from dataclasses import dataclass

from flask import render_template, url_for

from shopbook.queries.shop.book import list_last_numbers
from shopbook.queries.shop.guesses import list_changed_guesses
from shopbook.queries.shop.rates import list_later_changes
from shopbook.services.money.tax_inside import set_money_rules
from shopbook.services.shop.book import change_book, go_on_with_numbers
from shopbook.services.shop.rates import set_settings
from shopbook.trade.billing.number_series import Series
from shopbook.trade.errors import NotFound
from shopbook.trade.measures.units import Kind
from shopbook.web.parts import Act, Answer, Done, act_by_form, country, needs, reader, shop_now, today
from shopbook.web.shop.guesses import count_words
from shopbook.web.shop.hours_form import HoursForm
from shopbook.web.shop.particulars_form import UNITS_CHOSEN, NumbersForm, ParticularsForm
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.setting_forms import (
    ConditionsForm,
    CopiesForm,
    DepthForm,
    MoneyForm,
    SettingForm,
    SidesForm,
)


@dataclass(frozen=True, slots=True)
class SettingsPage:
    """One settings page; `is_dated` where it asks from which day they apply."""

    title: str
    about: str
    form: type[SettingForm]
    is_dated: bool = True


SECTIONS = {
    "hours": SettingsPage(
        "Opening hours", "Work is planned within these hours. Drying goes on outside them.", HoursForm
    ),
    "money": SettingsPage(
        "Money rules", "Deposits, {estimate}s, {markup}s and rounding. Usual figures until you change them.", MoneyForm
    ),
    "conditions": SettingsPage("Conditions", "Drying times and pot lives are worked out from these.", ConditionsForm),
    "sides": SettingsPage("Sides of a car", "Nearside and offside, or left and right.", SidesForm),
    "depth": SettingsPage("Extra features", "Off until you turn them on.", DepthForm, is_dated=False),
    "copies": SettingsPage("Backups", "A daily copy of the whole book in a second place.", CopiesForm, is_dated=False),
}


def _sections() -> dict[str, SettingsPage]:
    """This book's pages. The sides of a car are asked only where a country has several ways to name them."""
    return {name: page for name, page in SECTIONS.items() if name != "sides" or len(country().side_ways) > 1}


@blueprint.get("/settings")
@needs("shop", "set")
def settings() -> str:
    day = today()
    return render_template(
        "shop/settings.html",
        sections=_sections(),
        later=list_later_changes(reader(), day),
        changed=count_words(guess for guess in list_changed_guesses(reader()) if guess.is_untouched),
        guessed_taxes=[tax for tax in shop_now().taxes if not tax.is_confirmed],
    )


@blueprint.route("/settings/<section>", methods=["GET", "POST"])
@needs("shop", "set")
def setting(section: str) -> Answer:
    page = _sections().get(section)
    if page is None:
        raise NotFound("There is no such settings page.")
    form = page.form(data=page.form.typed(shop_now().settings))

    def doing(act: Act) -> Done:
        day = form.day if page.is_dated else today()
        if isinstance(form, MoneyForm):
            changed = set_money_rules(act, form.settings(), day, form.list_figures.data or "")
        else:
            changed = set_settings(act, form.settings(), day)
        said = f"{page.title} saved." if changed else f"{page.title}: nothing changed."
        return Done(url_for("shop.settings"), said)

    return act_by_form(form, f"shop/{'hours' if section == 'hours' else 'setting'}.html", doing, page=page)


@blueprint.route("/settings/particulars", methods=["GET", "POST"])
@needs("shop", "set")
def particulars() -> Answer:
    book, units = shop_now().book, shop_now().units
    form = ParticularsForm(obj=book, data={kind.value: units.shown(Kind(kind)).value for kind in UNITS_CHOSEN})
    form.tax_number.label.text = country().tax_number_word

    def doing(act: Act) -> Done:
        given = form.clean()
        chosen = {kind.value: given.pop(kind.value) for kind in UNITS_CHOSEN}
        change_book(act, units=chosen, **given)
        return Done(url_for("shop.settings"), "Saved. New papers show these details.")

    return act_by_form(form, "shop/particulars.html", doing)


@blueprint.route("/settings/numbers", methods=["GET", "POST"])
@needs("shop", "set")
def numbers() -> Answer:
    known = list_last_numbers(reader())
    form = NumbersForm(data={series: known.get(series, 0) for series in Series})

    def doing(act: Act) -> Done:
        go_on_with_numbers(act, {series: form[series].data for series in Series})
        return Done(url_for("shop.settings"), "Saved. Your papers continue from these numbers.")

    return act_by_form(form, "shop/numbers.html", doing)
