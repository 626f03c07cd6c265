"""The place of the money: what is owed by age and by payer, what is on account, what to invoice next, what was paid."""

from datetime import date

from flask import g, render_template
from sqlalchemy.orm import Session

from shopbook.queries.jobs.jobs import list_jobs_by_id
from shopbook.queries.money.invoices import total_invoiced
from shopbook.queries.money.margins import job_margin
from shopbook.queries.money.owed import (
    job_stands,
    list_on_account,
    list_owed,
    list_to_invoice,
    owed_ageing,
    owed_ageing_by_payer,
    payer_names,
)
from shopbook.queries.money.payments import list_job_payments, list_payments
from shopbook.queries.money.quotes import bill_of_quote, find_current_quote
from shopbook.queries.shop.days import day_of
from shopbook.trade.billing import Bill
from shopbook.trade.billing.ageing import AgeBand
from shopbook.trade.billing.pay_means import KIND_WORDS, MEANS_WORDS
from shopbook.trade.errors import RuleBroken
from shopbook.trade.purposes import is_paid_for
from shopbook.trade.results.margin import share_words
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.invoice_view import KINDS
from shopbook.web.parts.act import now, reader, shop_now
from shopbook.web.parts.guards import needs
from shopbook.web.parts.rows import Job
from shopbook.web.parts.sections import Where, job_section

BAND_WORDS = {
    AgeBand.CURRENT: "not due yet",
    AgeBand.TO_30: "1 to 30 days late",
    AgeBand.TO_60: "31 to 60 days late",
    AgeBand.TO_90: "61 to 90 days late",
    AgeBand.OVER_90: "over 90 days late",
}
RECENT = 12


@blueprint.get("/")
@needs("money", "see")
def owed() -> str:
    today = shop_now().day
    lines, on_account = list_owed(reader()), list_on_account(reader())
    waiting = list_to_invoice(reader(), today)
    return render_template(
        "money/owed.html",
        lines=lines,
        on_account=on_account,
        ageing=owed_ageing(lines, on_account, today),
        by_payer=owed_ageing_by_payer(lines, on_account, today),
        waiting=waiting,
        stands=job_stands(reader(), [job.id for job in waiting], today),
        today=today,
        **_lately(today),
    )


def _lately(today: date) -> dict[str, object]:
    """What was paid last and invoiced this month, with the words for kinds and bands."""
    recent = list_payments(reader(), limit=RECENT)
    net, tax = total_invoiced(reader(), today.replace(day=1), today)
    return {
        "recent": recent,
        "names": payer_names(reader(), {row.customer_id for row in recent if row.customer_id}),
        "recent_jobs": list_jobs_by_id(reader(), {row.job_id for row in recent if row.job_id}),
        "net_minor": net,
        "tax_minor": tax,
        "bands": BAND_WORDS,
        "kinds": KIND_WORDS,
        "paper_kinds": KINDS,
        "means": MEANS_WORDS,
    }


@job_section("money/_stands_section.html", Where.SIDE, order=30, anchor="money", title="Money")
def stands_section(session: Session, job: Job) -> dict[str, object] | None:
    """Where the money of a job stands; costs and margins only for whoever may see them."""
    if not g.actor.may("money", "see"):
        return None
    today = day_of(session, now())
    stands = job_stands(session, [job.id], today)[job.id]
    payments = list_job_payments(session, job.id)
    who = {row.customer_id for row in payments if row.customer_id} if stands.is_shared else set()
    return {
        "job": job,
        "stands": stands,
        "names": payer_names(session, who),
        "quoted": _quoted(session, job),
        "is_paid_for": is_paid_for(job.purpose),
        "earnings": job_margin(session, job.id, today) if g.actor.may("reports", "cost") else None,
        "share_words": share_words,
        "payments": payments,
        "kinds": KIND_WORDS,
        "means": MEANS_WORDS,
        "invoices": stands.invoices,
    }


@job_section("money/_next_section.html", Where.ACTS, order=60)
def next_section(session: Session, job: Job) -> dict[str, object] | None:
    """Of a ready car whose customer was not told yet: invoice, payment, keys, for whoever stands here already."""
    is_waiting = job.ready_at is not None and job.told_ready_at is None
    if not g.actor.may("money", "change") or job.called_off_at or job.handed_over_at or not is_waiting:
        return None
    today = day_of(session, now())
    return {"job": job, "stands": job_stands(session, [job.id], today)[job.id], "today": today}


def _quoted(session: Session, job: Job) -> Bill | None:
    """What the quote of a job comes to while nobody has said yes; None without one, or where a rate is missing."""
    is_quoted = job.agreed_at is None and job.called_off_at is None and is_paid_for(job.purpose)
    quote = find_current_quote(session, job.id) if is_quoted else None
    try:
        return bill_of_quote(session, quote) if quote else None
    except RuleBroken:
        return None
