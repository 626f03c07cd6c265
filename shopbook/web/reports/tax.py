"""Tax of a month, of three months, or from one day to another, on the basis that the tax office was told."""

from datetime import date

from flask import render_template, request
from wtforms.validators import ValidationError

from shopbook.documents.month import tax as tax_words
from shopbook.queries.reports.tax import get_tax
from shopbook.trade.measures.days import format_month, month_bounds, month_of, month_shifted, parse_month
from shopbook.web.parts import country, day_text, money, needs, shop_now
from shopbook.web.parts.fields import DayField, Needed
from shopbook.web.parts.forms import WordedForm
from shopbook.web.parts.frame import said
from shopbook.web.reports.blueprint import blueprint
from shopbook.web.reports.sections import TOOLS


class SpanForm(WordedForm):
    """A span of days, both included."""

    first = DayField("From", [Needed("Enter the first day.")])
    last = DayField("To", [Needed("Enter the last day.")])

    def validate_last(self, field: DayField) -> None:
        """The last day is not before the first."""
        if field.data and self.first.data and field.data < self.first.data:
            raise ValidationError("Choose a last day on or after the first.")


@blueprint.get("/months/<name>/tax")
@needs("reports", "month")
def tax(name: str) -> str:
    wanted = parse_month(name)
    form = SpanForm(request.args if _is_typed() else None)
    span = _typed_span(form) or _usual_span(wanted)
    if not _is_typed():
        form = SpanForm(data={"first": span[0], "last": span[1]})
    found = get_tax(shop_now(), *span)
    return render_template(
        "reports/tax.html",
        name=wanted,
        title=format_month(wanted),
        heading=_heading(wanted, span),
        is_quarter=_is_quarter() and not _is_typed(),
        is_typed=_is_typed(),
        form=form,
        tax=found,
        sections=tax_words.sections(found, words_of_tax()),
        tools=TOOLS,
    )


def _heading(month: str, span: tuple[date, date]) -> str:
    """ "VAT, November 2026", "VAT, September 2026 to November 2026", or with the days that were typed."""
    first, last = span
    if _is_typed():
        words = f"{day_text(first, is_long=True)} to {day_text(last, is_long=True)}"
    else:
        words = format_month(month)
        words = f"{format_month(month_of(first))} to {words}" if month_of(first) != month else words
    return f"{country().tax_word[:1].upper()}{country().tax_word[1:]}, {words}"


def words_of_tax() -> tax_words.TaxWording:
    """How this shop writes its tax."""
    here = country()
    return tax_words.TaxWording(
        money=money,
        day=lambda day: day_text(day, is_long=True),
        say=said,
        tax_word=here.tax_word,
        invoice_days=here.supply_invoice_days,
    )


def _is_typed() -> bool:
    return "first" in request.args or "last" in request.args


def _is_quarter() -> bool:
    return request.args.get("months") == "3"


def _typed_span(form: SpanForm) -> tuple[date, date] | None:
    """What was typed, where it is a span."""
    if not (_is_typed() and form.validate()):
        return None
    return form.first.given, form.last.given


def _usual_span(month: str) -> tuple[date, date]:
    """The month, or the three months that end with it: a quarter whichever month it begins in."""
    first = month_shifted(month, -2) if _is_quarter() else month
    return month_bounds(first)[0], month_bounds(month)[1]
