"""The account of a payer: how it stands, what happened lately, and its statement of any days, on screen and to send."""

from dataclasses import dataclass
from datetime import date

from flask import Response as FlaskResponse
from flask import g, render_template, request
from sqlalchemy.orm import Session

from shopbook.documents.statement import make_statement_file
from shopbook.queries.customers import get_customer
from shopbook.queries.money.payer_account import get_account_standing, get_payer_account
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.days import month_bounds, month_of, month_shifted
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.invoice_view import KINDS
from shopbook.web.money.kept_papers import send_pdf
from shopbook.web.money.statement_paper import (
    account_lines,
    ages_of,
    open_lines,
    statement_paper,
    statement_text,
    why_now,
)
from shopbook.web.parts import Answer, money, needs, reader
from shopbook.web.parts.fields import DayField, today
from shopbook.web.parts.forms import WordedForm
from shopbook.web.parts.rows import Customer
from shopbook.web.parts.sections import Page, page_section
from shopbook.web.parts.sending import send_to

BEFORE = "The first day must not be after the last. Choose an earlier one."
AHEAD = "Choose a first day that is not after today."


@dataclass(frozen=True, slots=True)
class Days:
    """A span of days, both included, and the month around it where it is one."""

    first: date
    last: date

    @property
    def shown(self) -> dict[str, str]:
        """As an address carries it."""
        return {"first": self.first.isoformat(), "last": self.last.isoformat()}


class StatementForm(WordedForm):
    """The days of a statement; empty: the month before this one in its first week, else this month so far."""

    first = DayField("From")
    last = DayField("To")

    def days(self, today: date) -> Days:
        """The span that was asked for, up to today; RuleBroken where it ends before it begins."""
        first = self.first.data or (self.last.data or usual_month(today).last).replace(day=1)
        last = min(self.last.data or month_bounds(month_of(first))[1], today)
        if first > today:
            raise RuleBroken(AHEAD, "first")
        if first > last:
            raise RuleBroken(BEFORE, "first")
        return Days(first, last)


def usual_month(today: date) -> Days:
    """The month a statement is asked for: in its first week the one before, then the running one up to today."""
    if today.day <= 7:
        return Days(*month_bounds(month_shifted(month_of(today), -1)))
    return Days(today.replace(day=1), today)


def _month(name: str, today: date) -> Days | None:
    """A month up to today, as a step to it; None for one that has not begun."""
    first, last = month_bounds(name)
    return Days(first, min(last, today)) if first <= today else None


@blueprint.get("/customers/<int:customer_id>/account")
@needs("money", "see")
def account(customer_id: int) -> str:
    payer, day = get_customer(reader(), customer_id), today()
    since = month_bounds(month_shifted(month_of(day), -1))[0]
    found = get_payer_account(reader(), payer.id, since, day)
    return render_template(
        "money/account.html",
        payer=payer,
        statement=found.statement,
        end=found.statement.end,
        why=why_now(found.statement),
        lines=list(reversed(account_lines(found))),
        open_lines=open_lines(found.statement),
        ages=[*ages_of(found.statement), ("Balance", money(found.statement.closing_minor))],
    )


@blueprint.get("/customers/<int:customer_id>/statement")
@needs("money", "see")
def statement(customer_id: int) -> Answer:
    payer, form = get_customer(reader(), customer_id), StatementForm(request.args)
    days, is_refused = _asked(form)
    paper = statement_paper(payer, get_payer_account(reader(), payer.id, days.first, days.last))
    text = statement_text(paper)
    month = month_of(days.last)
    page = render_template(
        "money/statement.html",
        payer=payer,
        form=form,
        days=days,
        paper=paper,
        message=send_to(payer, f"statement, {dict(paper.head.facts)['Period']}", text),
        earlier=_month(month_shifted(month, -1), today()),
        later=_month(month_shifted(month, 1), today()),
    )
    return (page, 422) if is_refused else page


def _asked(form: StatementForm) -> tuple[Days, bool]:
    """The days of the form, and whether they were refused: then those that are usual, with a sentence in the form."""
    day = today()
    if form.validate():
        try:
            days = form.days(day)
        except RuleBroken as broken:
            form.first.errors = [broken.sentence]
        else:
            form.first.data, form.last.data = days.first, days.last
            form.first.raw_data = form.last.raw_data = None
            return days, False
    return usual_month(day), True


@blueprint.get("/customers/<int:customer_id>/statement.pdf")
@needs("money", "see")
def statement_pdf(customer_id: int) -> FlaskResponse:
    payer, form = get_customer(reader(), customer_id), StatementForm(request.args)
    days, _ = _asked(form)
    paper = statement_paper(payer, get_payer_account(reader(), payer.id, days.first, days.last))
    return send_pdf(make_statement_file(paper), f"statement-{payer.id}-{days.last.isoformat()}.pdf")


@page_section(Page.CUSTOMER, "money/_account_section.html", order=20)
def account_section(session: Session, customer: Customer) -> dict[str, object] | None:
    """What a payer still owes, invoice by invoice, the one due first at the head, and the way to its account."""
    if not g.actor.may("money", "see"):
        return None
    end = get_account_standing(session, customer.id, today())
    return {"payer": customer, "end": end, "kinds": KINDS}
