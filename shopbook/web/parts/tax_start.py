"""The questions about tax that a new shop answers on the spot, in whatever form first needs a total."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from wtforms import RadioField, SelectField, StringField
from wtforms.validators import InputRequired, Length, Optional

from shopbook.services.act import Act
from shopbook.services.shop.taxes import answer_province, answer_sales_tax
from shopbook.trade.billing.sales_tax import GoodsTaxed, LabourTaxed, SalesTaxAnswers
from shopbook.trade.countries import Country, StateHabit, TaxAsks
from shopbook.web.parts.fields import Needed, SelectChoice, TaxRateField
from shopbook.web.parts.forms import ActForm, choices
from shopbook.web.parts.frame import country, is_before_tax

_LABOUR = {
    LabourTaxed.NO: "no",
    LabourTaxed.YES: "yes",
    LabourTaxed.WITH_GOODS: "yes, if the bill has parts or paint",
}
_GOODS = {GoodsTaxed.TO_CUSTOMER: "taxed to the customer", GoodsTaxed.WHEN_BOUGHT: "tax paid when we buy them"}
_APART = {"yes": "yes", "no": "no, one price"}
_SALES_TAX = ("tax_rate", "tax_place", "tax_labour", "tax_goods", "tax_apart")
_BY_QUESTION = {"tax_labour": "labour", "tax_goods": "goods", "tax_apart": "apart"}


@dataclass(frozen=True, slots=True)
class TaxQuestions:
    """What is asked: the names of the fields, and what some states usually answer to each, to check."""

    fields: tuple[str, ...]
    states: Sequence[StateHabit]
    read_on: date | None

    def usual(self, field: str) -> str:
        """What states usually answer to a question, in a line: "Usually, to check · California: no · Texas: no"."""
        name = _BY_QUESTION.get(field)
        if name is None or not self.states:
            return ""
        return "Usually, to check · " + " · ".join(f"{state.name}: {getattr(state, name)}" for state in self.states)


class TaxStartForm(ActForm):
    """A form that needs a total: until the shop has set its tax, it asks for that as well."""

    tax_rate = TaxRateField("Rate, %", [Needed("Enter the rate, for example 8.25, or 0 if there is none.")])
    tax_place = StringField("Place", [Optional(), Length(max=100, message="Enter at most 100 characters.")])
    tax_labour = RadioField(
        "Is {labour} taxed?", [InputRequired("Choose whether {labour} is taxed.")], choices=choices(_LABOUR)
    )
    tax_goods = RadioField(
        "Paint and parts", [InputRequired("Choose who pays the tax on paint and parts.")], choices=choices(_GOODS)
    )
    tax_apart = RadioField(
        "Is {labour} priced separately?",
        [InputRequired("Choose whether {labour} is priced separately.")],
        choices=choices(_APART),
    )
    tax_province = SelectField("Province or territory", [InputRequired("Choose the province or territory.")])


def ask_tax(form: TaxStartForm) -> TaxQuestions | None:
    """Leave on a form what is to be asked about tax, and answer it; nothing and None once it is set."""
    asked = questions()
    wanted = asked.fields if asked else ()
    for name in (*_SALES_TAX, "tax_province"):
        if name not in wanted:
            del form[name]
    if "tax_province" in wanted:
        offered = [SelectChoice(each.code, f"{each.name}, {each.tax.name}") for each in country().provinces]
        form.tax_province.choices = [SelectChoice("", "Choose one"), *offered]
    return asked


def questions() -> TaxQuestions | None:
    """What is still to be asked about tax in this book; None once it is set."""
    here = country()
    if not is_before_tax():
        return None
    fields = _SALES_TAX if here.tax_asks is TaxAsks.SALES_TAX else ("tax_province",)
    return TaxQuestions(fields, here.states, _read_on(here))


def _read_on(here: Country) -> date | None:
    days = [*(state.read_on for state in here.states), *(each.tax.read_on for each in here.provinces)]
    return min((day for day in days if day is not None), default=None)


def keep_tax(act: Act, form: TaxStartForm, asked: TaxQuestions | None) -> None:
    """Keep what was answered, before whatever needs the total. RuleBroken beside its field; Conflict if set since."""
    if asked is None:
        return
    if "tax_province" in asked.fields:
        answer_province(act, form.tax_province.data or "")
    else:
        answer_sales_tax(act, _answers(form))


def _answers(form: TaxStartForm) -> SalesTaxAnswers:
    return SalesTaxAnswers(
        rate_thousandths=form.tax_rate.given,
        place=form.tax_place.data or "",
        labour=LabourTaxed(form.tax_labour.data),
        goods=GoodsTaxed(form.tax_goods.data),
        is_priced_apart=form.tax_apart.data == "yes",
    )
