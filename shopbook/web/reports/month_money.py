"""One press deeper than the month: what was paid by means, what was owed on its last day, and its payers."""

from flask import render_template, request

from shopbook.documents.month import owed as owed_words
from shopbook.documents.month import paid as paid_words
from shopbook.documents.month import payers as payer_words
from shopbook.documents.month.section import Section
from shopbook.queries.money.owed import list_on_account, list_owed, owed_ageing, owed_ageing_by_payer
from shopbook.queries.reports.paid import get_paid
from shopbook.queries.reports.payers import list_payers
from shopbook.trade.measures.days import format_month, month_bounds, parse_month
from shopbook.trade.results.payers import PayerOrder, sort_payers
from shopbook.web.parts import day_text, money, needs, reader, today
from shopbook.web.parts.frame import said
from shopbook.web.reports.blueprint import blueprint
from shopbook.web.reports.sections import TOOLS

ORDER_WORDS = {
    PayerOrder.NAME: "Name",
    PayerOrder.INVOICED: "Invoiced",
    PayerOrder.PAID: "Paid",
    PayerOrder.OVERDUE: "Overdue",
    PayerOrder.DAYS: "Days to pay",
}


@blueprint.get("/months/<name>/paid")
@needs("reports", "month")
def paid(name: str) -> str:
    wanted = parse_month(name)
    found = get_paid(reader(), *month_bounds(wanted))
    return _page(wanted, "Paid", paid_words.sections(found, money, said))


@blueprint.get("/months/<name>/owed")
@needs("reports", "month")
def owed(name: str) -> str:
    """As of the month's last day; of a month that is not over, as of today."""
    wanted = parse_month(name)
    day = min(today(), month_bounds(wanted)[1])
    lines, on_account = list_owed(reader(), day), list_on_account(reader(), day)
    found = owed_ageing(lines, on_account, day)
    own = owed_words.by_payer(owed_ageing_by_payer(lines, on_account, day), money)
    return _page(wanted, "Owed", (*owed_words.sections(found, day_text(day, is_long=True), money, said), own))


@blueprint.get("/months/<name>/payers")
@needs("reports", "month")
def payers(name: str) -> str:
    wanted = parse_month(name)
    asked = request.args.get("by", "")
    order = PayerOrder(asked) if asked in set(PayerOrder) else PayerOrder.INVOICED
    rows = sort_payers(list_payers(reader(), *month_bounds(wanted)), order)
    return _page(wanted, "Payers", payer_words.sections(rows, money), order=order, orders=ORDER_WORDS)


def _page(month: str, what: str, sections: tuple[Section, ...], **given: object) -> str:
    title = f"{what}, {format_month(month)}"
    return render_template("reports/sections.html", name=month, title=title, sections=sections, tools=TOOLS, **given)
