"""The money page: owed by days late and by payer, customer credits, what to invoice next, what was paid."""

from collections.abc import Sequence
from datetime import date

from flask import g, render_template
from sqlalchemy.orm import Session

from shopbook.queries.money.invoices import total_invoiced
from shopbook.queries.money.job_page import JobPage
from shopbook.queries.money.margins import earnings_of
from shopbook.queries.money.owed import (
    OnAccount,
    OwedLine,
    list_on_account,
    list_owed,
    owed_ageing,
    owed_ageing_by_payer,
    owed_besides,
)
from shopbook.queries.money.payments import list_payments
from shopbook.queries.money.quotes import bill_of_quote, current_quote
from shopbook.queries.money.waiting import waiting_to_invoice
from shopbook.trade.billing import Bill
from shopbook.trade.billing.pay_means import KIND_WORDS, MEANS_WORDS
from shopbook.trade.errors import RuleBroken
from shopbook.trade.purposes import is_paid_for
from shopbook.trade.results.margin import share_words
from shopbook.web.money.bands import BAND_WORDS
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.invoice_view import KINDS
from shopbook.web.money.steps import steps_of
from shopbook.web.parts.act import reader, shop_now
from shopbook.web.parts.guards import needs
from shopbook.web.parts.sections import Where, job_section

RECENT = 12


@blueprint.get("/")
@needs("money", "see")
def owed() -> str:
    today = shop_now().day
    lines, on_account = list_owed(reader(), today), list_on_account(reader(), today)
    waiting = waiting_to_invoice(shop_now())
    return render_template(
        "money/owed.html",
        lines=lines,
        on_account=on_account,
        ageing=owed_ageing(lines, on_account, today),
        several=_several(lines),
        accounts=_accounts(lines, on_account),
        by_payer=owed_ageing_by_payer(lines, on_account, today),
        waiting=[job for job, each in waiting if each.rest_minor or not each.is_invoiced],
        held=[job for job, each in waiting if each.is_invoiced and not each.rest_minor],
        stands={job.id: stands for job, stands in waiting},
        today=today,
        **_lately(today),
    )


def _several(lines: Sequence[OwedLine]) -> dict[str, int]:
    """Payers with more than one invoice to pay, by name; a name that two of them share is left out."""
    found: dict[str, list[int]] = {}
    for line in lines:
        found.setdefault(line.payer, []).append(line.customer_id or 0)
    return {name: ids[0] for name, ids in found.items() if len(ids) > 1 and ids[0] and len(set(ids)) == 1}


def _accounts(lines: Sequence[OwedLine], on_account: Sequence[OnAccount]) -> dict[str, int | None]:
    """Whose account a payer's name leads to; nowhere where two of them share it, or nobody's name was kept."""
    found: dict[str, set[int | None]] = {}
    named = [(row.payer, row.customer_id) for row in lines] + [(row.payer, row.customer_id) for row in on_account]
    for name, whose in named:
        found.setdefault(name, set()).add(whose)
    return {name: next(iter(ids)) if len(ids) == 1 else None for name, ids in found.items()}


def _lately(today: date) -> dict[str, object]:
    """What was paid last and invoiced this month, with the words for kinds and bands."""
    recent = list_payments(reader(), limit=RECENT)
    net, tax = total_invoiced(reader(), today.replace(day=1), today)
    return {
        "recent": recent,
        "net_minor": net,
        "tax_minor": tax,
        "bands": BAND_WORDS,
        "kinds": KIND_WORDS,
        "paper_kinds": KINDS,
        "means": MEANS_WORDS,
    }


@job_section("money/_stands_section.html", Where.SIDE, order=30, strip="money/_strip.html")
def stands_section(session: Session, page: JobPage) -> dict[str, object] | None:
    """The money of a job; costs and margins only for people who may see them."""
    if not g.actor.may("money", "see"):
        return None
    job, stands = page.job, page.stands
    earned = earnings_of(page.whole, page.accounts) if g.actor.may("reports", "cost") else None
    payments = [row.payment for row in page.accounts.payments]
    return {
        "job": job,
        "stands": stands,
        "names": page.accounts.names if stands.is_shared else {},
        "quoted": _quoted(page),
        "is_paid_for": is_paid_for(job.purpose),
        "earnings": earned,
        "steps": steps_of(page, earned) if earned else None,
        "share_words": share_words,
        "payments": payments,
        "has_open_paper": any(row.owed_minor > 0 for row in page.accounts.rows_owing(job.id)),
        "kinds": KIND_WORDS,
        "means": MEANS_WORDS,
        "invoices": stands.invoices,
        "others": [] if job.handed_over_at or job.called_off_at else owed_besides(session, job),
    }


@job_section("money/_next_section.html", Where.ACTS, order=60)
def next_section(_: Session, page: JobPage) -> dict[str, object] | None:
    """For a ready car whose customer has not been told yet: invoice, payment, keys."""
    job = page.job
    is_waiting = job.ready_at is not None and job.told_ready_at is None
    if not g.actor.may("money", "change") or job.called_off_at or job.handed_over_at or not is_waiting:
        return None
    return {"job": job, "stands": page.stands, "today": page.shop.day}


def _quoted(page: JobPage) -> Bill | None:
    """The total of a job's quote until it is approved; None without one, or where a rate is missing."""
    job, quotes = page.job, page.accounts.approvals.quotes.get(page.job.id, [])
    is_quoted = job.agreed_at is None and job.called_off_at is None and is_paid_for(job.purpose)
    quote = current_quote(quotes) if is_quoted else None
    try:
        return bill_of_quote(page.shop.session, quote) if quote else None
    except RuleBroken:
        return None
