"""Taxes and what each applies to, from a day; our guesses need one press to confirm."""

from collections.abc import Mapping, Sequence
from typing import cast

from flask import redirect, url_for
from wtforms import SelectField, StringField

from shopbook.services.shop.rates import confirm_taxes, set_tax_kinds, set_tax_rate
from shopbook.trade.billing import LineKind
from shopbook.trade.errors import NotFound
from shopbook.trade.results.tax_basis import BASIS_WORDS
from shopbook.trade.settings import SettingName
from shopbook.web.parts import Act, Answer, Done, Presses, act_by_form, is_before_tax, needs, shop_now
from shopbook.web.parts.fields import Needed, TaxRateField
from shopbook.web.parts.forms import LINE, choices
from shopbook.web.parts.rows import DatedTaxRate
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.setting_forms import FromDayForm

LINE_KIND_WORDS = {
    LineKind.LABOUR: "{Labour}",
    LineKind.MATERIALS: "Paint and materials",
    LineKind.PART: "Parts",
    LineKind.COLOUR: "Paint mixed for the car",
    LineKind.SUBLET: "Sublet work",
    LineKind.FEE: "Fees",
}
"""A discount follows the lines it is taken off, a deposit those it is for: neither has a tax of its own."""


BESIDE = "+goods"
"""Behind a tax's code: only on a bill with something that stays on the car."""


class TaxForm(FromDayForm):
    """One kind of tax."""

    name = StringField("Name on papers", [Needed("Enter the name of this tax as it is printed."), LINE])
    rate = TaxRateField("Rate, %", [Needed("Enter the rate, for example 8.25, or 0 if there is none.")])


class TaxKindsForm(FromDayForm):
    """Which tax applies to each kind of line."""

    def let_choose(self, taxes: Mapping[str, str]) -> None:
        """Let each kind of line choose among these: a tax by its code, or only beside something that stays on."""
        for kind in LINE_KIND_WORDS:
            cast("SelectField", self[kind]).choices = choices({"": "Choose one", **taxes})


for _kind, _words in LINE_KIND_WORDS.items():
    setattr(TaxKindsForm, _kind.value, SelectField(_words))


@blueprint.route("/settings/taxes", methods=["GET", "POST"])
@needs("shop", "set")
def taxes() -> Answer:
    held = shop_now().taxes
    if is_before_tax():
        return redirect(url_for("shop.first_taxes", then=url_for("shop.taxes")), 303)
    form = TaxKindsForm(data=_chosen(held))
    form.let_choose(_choices(held))

    def doing(act: Act) -> Done:
        typed = {kind: form[kind].data for kind in LINE_KIND_WORDS}
        beside = {kind: code.removesuffix(BESIDE) for kind, code in typed.items() if code.endswith(BESIDE)}
        codes = {kind: _untaxed(held) if kind in beside else code for kind, code in typed.items()}
        set_tax_kinds(act, codes, form.day, beside)
        return Done(url_for("shop.taxes"), "Saved. Each tax applies as you chose.")

    basis = BASIS_WORDS.get(shop_now().settings[SettingName.TAX_BASIS] or "", "")
    return act_by_form(form, "shop/taxes.html", doing, taxes=held, kinds=LINE_KIND_WORDS, basis=basis)


def _chosen(held: Sequence[DatedTaxRate]) -> dict[str, str]:
    always = {kind: tax.code for tax in held for kind in tax.line_kinds}
    return always | {kind: tax.code + BESIDE for tax in held for kind in tax.kinds_with_goods}


def _choices(held: Sequence[DatedTaxRate]) -> dict[str, str]:
    """Each tax; where something can go untaxed too, each that charges also only beside a part or paint."""
    beside = [tax for tax in held if tax.rate_thousandths] if _untaxed(held) else []
    words = {tax.code + BESIDE: f"{tax.name}, only if the bill has parts or paint" for tax in beside}
    return {tax.code: tax.name for tax in held} | words


def _untaxed(held: Sequence[DatedTaxRate]) -> str:
    return next((tax.code for tax in held if not tax.rate_thousandths), "")


on_taxes = Presses(blueprint, "shop", "set", lambda: url_for("shop.taxes"))
on_taxes.add("/settings/taxes/confirm", "confirm", lambda act: confirm_taxes(act, act.day), "Tax rates confirmed.")


@blueprint.route("/settings/taxes/new", methods=["GET", "POST"])
@needs("shop", "set")
def new_tax() -> Answer:
    return _tax_page(TaxForm(), "")


@blueprint.route("/settings/taxes/<code>", methods=["GET", "POST"])
@needs("shop", "set")
def tax(code: str) -> Answer:
    known = next((tax for tax in shop_now().taxes if tax.code == code), None)
    if known is None:
        raise NotFound("That tax is not in the book.")
    return _tax_page(TaxForm(data={"name": known.name, "rate": known.rate_thousandths}), code)


def _tax_page(form: TaxForm, code: str) -> Answer:
    def doing(act: Act) -> Done:
        set_tax_rate(
            act,
            code=code,
            name=form.name.data or "",
            rate_thousandths=form.rate.given,
            from_on=form.day,
        )
        return Done(url_for("shop.taxes"), f"{form.name.data} saved.")

    return act_by_form(form, "shop/tax.html", doing, code=code)
