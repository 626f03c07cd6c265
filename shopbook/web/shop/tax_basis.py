"""On which basis the shop pays its tax: asked once, and changeable from a day."""

from datetime import date, timedelta

from flask import request, url_for
from wtforms import HiddenField, RadioField
from wtforms.validators import InputRequired

from shopbook.queries.shop.days import find_closed_through
from shopbook.services.shop.rates import set_settings
from shopbook.trade.results.tax_basis import BASIS_WORDS, TaxBasis
from shopbook.trade.settings import SettingName
from shopbook.web.parts import Act, Answer, Done, act_by_form, choices, needs, reader, safe_path, shop_now, today
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.setting_forms import FromDayForm

NOTES = {
    TaxBasis.SUPPLY: "When the work is done, or paid if that is earlier.",
    TaxBasis.INVOICE: "On the day you write the invoice.",
    TaxBasis.RECEIVED: "When the customer pays.",
}


class TaxBasisForm(FromDayForm):
    """What the tax office was told; nothing is chosen beforehand."""

    tax_basis = RadioField(
        "A sale counts",
        [InputRequired("Choose the basis that you told your tax office.")],
        choices=choices({basis: words[:1].upper() + words[1:] for basis, words in BASIS_WORDS.items()}),
    )
    then = HiddenField()


@blueprint.route("/settings/taxes/basis", methods=["GET", "POST"])
@needs("shop", "set")
def tax_basis() -> Answer:
    held = shop_now().settings[SettingName.TAX_BASIS]
    given = {"tax_basis": held, "then": request.args.get("then", "")}
    form = TaxBasisForm(data=given | {"from_on": today() if held else _first_open()})

    def doing(act: Act) -> Done:
        basis = TaxBasis(form.tax_basis.data)
        set_settings(act, {SettingName.TAX_BASIS: basis.value}, form.day)
        return Done(safe_path(form.then.data) or url_for("shop.taxes"), f"Saved. Tax counts {BASIS_WORDS[basis]}.")

    return act_by_form(form, "shop/tax_basis.html", doing, notes=NOTES)


def _first_open() -> date:
    """The first day that no closed month holds; before any closing the first of the year in which the book began."""
    through = find_closed_through(reader())
    return (
        through + timedelta(days=1)
        if through
        else shop_now().day_of(shop_now().book.started_at).replace(month=1, day=1)
    )
