"""A new shop sets its tax on its own page, on the way to what needs a total, and then continues there."""

from flask import redirect, request, url_for
from wtforms import HiddenField

from shopbook.web.parts import Answer, act_by_form, does, needs, safe_path
from shopbook.web.parts.tax_start import TaxStartForm, ask_tax, keep_tax
from shopbook.web.shop.routes import blueprint


class FirstTaxForm(TaxStartForm):
    """The questions about tax alone."""

    then = HiddenField()


@blueprint.route("/tax", methods=["GET", "POST"])
@needs("money", "change")
def first_taxes() -> Answer:
    form = FirstTaxForm(data={"then": request.args.get("then", "")})
    asked = ask_tax(form)
    leads_to = safe_path(form.then.data) or url_for("jobs.kerb")
    if asked is None:
        return redirect(leads_to, 303)
    doing = does(lambda act: keep_tax(act, form, asked), leads_to, "Tax set. You can change it in Settings, Taxes.")
    return act_by_form(form, "shop/first_taxes.html", doing, asked=asked)
