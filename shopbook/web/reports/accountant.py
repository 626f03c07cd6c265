"""For the accountant and payroll: flat tables of any days, each as a file and all of them as one zip."""

from collections.abc import Iterable
from datetime import date

from flask import Response, g, render_template, request, stream_with_context, url_for
from werkzeug.datastructures import MultiDict

from shopbook.documents.accountant.tables import offered_tables
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.days import month_bounds, month_of, month_shifted, parse_month
from shopbook.web.parts import ActForm, Answer, needs, shop_now
from shopbook.web.parts.fields import DayField, Needed
from shopbook.web.reports.accountant_files import check_span, flat_file, flat_zip
from shopbook.web.reports.blueprint import blueprint

SEES_PAY = ("reports", "cost")
"""Who may see what a person costs may take it along."""


class AccountantForm(ActForm):
    """From a day to a day, both included."""

    first = DayField("First day", [Needed("Enter the first day, for example 2026-11-01.")])
    last = DayField("Last day", [Needed("Enter the last day, for example 2026-11-30.")])

    def span(self) -> tuple[date, date] | None:
        """Both days; None where one of them is refused, with a sentence beside it."""
        if not self.validate():
            return None
        try:
            check_span(self.first.given, self.last.given)
        except RuleBroken as broken:
            self.refuse(broken)
            return None
        return self.first.given, self.last.given


@blueprint.get("/months/accountant")
@needs("reports", "month")
def accountant() -> Answer:
    form = _form()
    span = form.span()
    page = render_template(
        "reports/accountant.html",
        form=form,
        span=span,
        spans=_offered_spans(),
        tables=offered_tables(sees_pay=_sees_pay()),
        has_pay=_sees_pay(),
    )
    return page if span else (page, 422)


@blueprint.get("/months/accountant/all.zip")
@needs("reports", "month")
def accountant_zip() -> Response:
    shop, first = _asked()
    return _streamed(*flat_zip(shop, first, sees_pay=_sees_pay()), "application/zip")


@blueprint.get("/months/accountant/<name>.csv")
@needs("reports", "month")
def accountant_csv(name: str) -> Response:
    shop, first = _asked()
    file_name, body = flat_file(shop, first, name, sees_pay=_sees_pay())
    return _streamed(file_name, body, "text/csv")


def _sees_pay() -> bool:
    return bool(g.actor.may(*SEES_PAY))


def _form() -> AccountantForm:
    """What was asked for; the days of a month that is named, else of the month before."""
    if "first" in request.args or "last" in request.args:
        return AccountantForm(request.args)
    named = request.args.get("month")
    first, last = month_bounds(parse_month(named) if named else month_shifted(month_of(shop_now().day), -1))
    return AccountantForm(MultiDict({"first": first.isoformat(), "last": last.isoformat()}))


def _asked() -> tuple[ShopOn, date]:
    """The shop on the last day that was asked for, and the first; RuleBroken for what is no span."""
    form = _form()
    span = form.span()
    if span is None:
        raise RuleBroken(next(sentence for field in form for sentence in field.errors))
    first, last = span
    return shop_now().on(last), first


def _streamed(name: str, body: Iterable[bytes], kind: str) -> Response:
    """The file as it comes from the book: nothing of it is held back until all is read."""
    answer = Response(stream_with_context(iter(body)), mimetype=kind)
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _offered_spans() -> list[tuple[str, str, bool]]:
    """Usual spans as (words, address, whether it is the one shown)."""
    shop = shop_now()
    this = month_of(shop.day)
    before, quarter = month_shifted(this, -1), month_shifted(this, -1 - (int(this[5:]) - 1) % 3)
    spans = {
        "Last month": month_bounds(before),
        "Last quarter": (month_bounds(month_shifted(quarter, -2))[0], month_bounds(quarter)[1]),
        "This year so far": (shop.day.replace(month=1, day=1), shop.day),
        "Everything so far": (shop.day_of(shop.book.started_at), shop.day),
    }
    shown = (request.args.get("first"), request.args.get("last"))
    return [
        (
            words,
            url_for("reports.accountant", first=first, last=last),
            (first.isoformat(), last.isoformat()) == shown,
        )
        for words, (first, last) in spans.items()
    ]
