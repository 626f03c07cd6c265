"""What a bank or terminal keeps of payments, by means and from a day."""

from flask import url_for
from wtforms.validators import Optional

from shopbook.services.shop.rates import set_settings
from shopbook.trade.billing.pay_means import MEANS_WORDS
from shopbook.trade.errors import RuleBroken
from shopbook.trade.settings import SettingName
from shopbook.web.parts import Act, Answer, Done, act_by_form, needs, shop_now
from shopbook.web.parts.fields import AmountField, TaxRateField
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.setting_forms import FromDayForm


class FeeRateField(TaxRateField):
    """A percentage of a payment; `data` in thousandths of a percent."""

    def read(self, text: str) -> int:
        try:
            return super().read(text)
        except RuleBroken:
            raise RuleBroken("Enter a percentage from 0 to 100, for example 2.6.") from None


class CardFeesForm(FromDayForm):
    """A percentage and a fixed part for each means of payment; both empty: no fee."""

    def fees(self) -> dict[str, list[int]]:
        """What was typed, for the means that cost something."""
        typed = {each: [self[f"{each}_rate"].data or 0, self[f"{each}_fixed"].data or 0] for each in MEANS_WORDS}
        return {means.value: parts for means, parts in typed.items() if any(parts)}


for _means in MEANS_WORDS:
    setattr(CardFeesForm, f"{_means}_rate", FeeRateField("Percent", [Optional()]))
    setattr(CardFeesForm, f"{_means}_fixed", AmountField("Per payment", [Optional()]))


@blueprint.route("/settings/card-fees", methods=["GET", "POST"])
@needs("shop", "set")
def card_fees() -> Answer:
    held = shop_now().settings[SettingName.CARD_FEES]
    known = {f"{means}_rate": rate or None for means, (rate, _) in held.items()}
    known |= {f"{means}_fixed": fixed or None for means, (_, fixed) in held.items()}
    form = CardFeesForm(data=known)

    def doing(act: Act) -> Done:
        changed = set_settings(act, {SettingName.CARD_FEES: form.fees()}, form.day)
        return Done(url_for("shop.settings"), "Card fees saved." if changed else "Card fees: nothing changed.")

    return act_by_form(form, "shop/card_fees.html", doing, means=MEANS_WORDS)
