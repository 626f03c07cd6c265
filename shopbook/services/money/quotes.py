"""A quote's life: a price kept at the kerb, drafted from the plan, given, withdrawn, lost."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Quote
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import last_version as last_plan_version
from shopbook.queries.money.approvals import list_approvals
from shopbook.queries.money.quotes import (
    find_current_quote,
    get_quote,
    is_main,
    last_version,
    list_quotes,
    sum_of_quote,
)
from shopbook.queries.money.seen import valid_until
from shopbook.queries.shop.rates import settings_on
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.jobs.history import log_job
from shopbook.services.jobs.jobs import call_off
from shopbook.services.jobs.line_keys import draw_keys
from shopbook.services.money.given import write_given
from shopbook.services.money.quote_groups import SaidPrice, write_kerb_groups, write_planned_groups
from shopbook.services.shop.papers import record_paper
from shopbook.services.shop.taxes import want_tax
from shopbook.trade.agreeing.words import LOST_WORDS, Party, QuoteKind
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.pricing.keys import QUOTE_KEYS
from shopbook.trade.purposes import JOB_PURPOSE_WORDS, JobPurpose, is_paid_for
from shopbook.trade.settings import SettingName

CHANGED_MEANWHILE = "Someone else has changed this {estimate}. Check it, then press again."


@dataclass(frozen=True, slots=True)
class NewPaper:
    """A printed quote that already lies on the disk: its hash, size and name, and the `content` it was made from.

    `content` is that of the row which the quote will have, as `trade.pricing.given` writes it.
    """

    sha256: str
    size_bytes: int
    file_name: str
    content: str = ""


def keep_kerb_price(
    act: Act,
    job: Job,
    prices: Sequence[SaidPrice],
    *,
    working_days_tenths: int | None,
    has_tax_inside: bool,
    is_said: bool,
) -> Quote:
    """The price kept at the kerb: one group a panel. `is_said` means that the desk says the customer knows it now.

    A price of 480.00 that is only saved is a draft: nobody was asked, nothing waits for an answer. Saved as said or
    shown it is given by word of mouth, and its customer is asked from that moment.

    RuleBroken without a panel, for a price below zero, or when the kinds of tax are not set.
    """
    if not prices:
        raise RuleBroken("Tap a panel first.", "prices")
    quote = new_quote(act, job, QuoteKind.KERB, has_tax_inside=has_tax_inside)
    write_kerb_groups(act.session, job, quote, prices, working_days_tenths)
    job.working_days = working_days_tenths
    if is_said:
        quote = get_quote(act.session, quote.id)
        give(act, quote)
        quote.asked_customer_at = act.moment
        mark_quoted(act.session, job)
    log_quote(act, "keep_kerb_price", quote, f"Saved a quick price for job {job.number}")
    return get_quote(act.session, quote.id)


def draft_quote(act: Act, job_id: int) -> Quote:
    """A new version of the job's quote from its plan: a group a panel with its hours, materials and what is bought.

    Words, what is not included, discount and deposit come over from the version before; a draft that was never given
    is replaced at once, a given one when the new one is given. RuleBroken without a plan or without the shop's rates.
    """
    job = open_job_of(act.session, job_id)
    refuse_unpaid(job)
    before = find_current_quote(act.session, job_id)
    held = settings_on(act.session, act.day)
    quote = new_quote(act, job, QuoteKind.QUOTE, has_tax_inside=held[SettingName.PRICES_HOLD_TAX], before=before)
    if before is not None and before.given_at is None:
        before.replaced_at = act.moment
    if not write_planned_groups(act.session, job, quote, before):
        raise RuleBroken("This job has no plan yet. Enter the damage, then draft the plan.")
    act.session.flush()
    log_quote(act, "draft_quote", quote, f"Drafted estimate {job.number}, version {quote.version}")
    return get_quote(act.session, quote.id)


def give_quote(
    act: Act,
    quote_id: int,
    *,
    revision: int,
    paper: NewPaper | None = None,
) -> Quote:
    """Fix the quote: it is frozen, holds until its day, and the version before it falls away.

    Nobody is asked by that: the customer is asked once the desk says that it was sent, said or shown (`ask_again`).

    `paper` is the printed file, made before. Conflict when the quote changed since `revision`, or was replaced;
    RuleBroken for a group without a price, or before the shop has set its tax.
    """
    quote = get_quote(act.session, quote_id)
    if quote.revision != revision or quote.replaced_at is not None:
        raise Conflict(CHANGED_MEANWHILE)
    refuse_unpriced(quote)
    sum_of_quote(act.session, quote)
    if quote.given_at is None:
        want_tax(act.session, act.day)
        give(act, quote, paper)
        _replace_earlier(act, quote)
        mark_quoted(act.session, get_job_by_id(act.session, quote.job_id))
    if paper is not None:
        kept = record_paper(
            act.session,
            act.moment,
            kind="quote",
            subject="quote",
            subject_id=quote.id,
            sha256=paper.sha256,
            size_bytes=paper.size_bytes,
            file_name=paper.file_name,
        )
        quote.paper_id = kept.id
    quote.revision += 1
    log_quote(act, "give_quote", quote, f"Issued version {quote.version} of the estimate")
    return quote


def refuse_unpriced(quote: Quote) -> None:
    """RuleBroken when there is no group, or one that nobody has priced; zero counts only when it was typed."""
    if not quote.groups:
        raise RuleBroken("This {estimate} has no work on it. Add an item first.")
    for group in quote.groups:
        if group.price_minor is None and not sum(line.amount_minor for line in group.lines):
            raise RuleBroken(f"“{group.title}” has no price yet. Enter a price, or lines that add up to it.", "groups")


def withdraw_quote(act: Act, quote_id: int) -> Quote:
    """Withdraw a quote that nobody has approved. RuleBroken when somebody has."""
    quote = get_quote(act.session, quote_id)
    if any(row.quote_id == quote_id for row in list_approvals(act.session, quote.job_id)):
        raise RuleBroken("This {estimate} is approved and cannot be withdrawn. Issue a new version instead.")
    quote.replaced_at = quote.replaced_at or act.moment
    quote.revision += 1
    mark_quoted(act.session, get_job_by_id(act.session, quote.job_id))
    log_quote(act, "withdraw_quote", quote, f"Withdrew version {quote.version} of the estimate")
    return quote


def lose_quote(act: Act, quote_id: int, why: str) -> Job:
    """The quote is lost, and its job cancelled. RuleBroken for an unknown reason, or once it is approved."""
    quote = get_quote(act.session, quote_id)
    if why not in LOST_WORDS:
        raise RuleBroken("Choose why it was lost.", "why")
    job = get_job_by_id(act.session, quote.job_id)
    if job.agreed_at is not None:
        raise RuleBroken("The customer has approved this job. Cancel it on the job’s page.")
    quote.answered_at = quote.answered_at or act.moment
    quote.revision += 1
    return call_off(act, job.id, why)


def new_quote(act: Act, job: Job, kind: QuoteKind, *, has_tax_inside: bool, before: Quote | None = None) -> Quote:
    """A part of an act: the next version of the job's quotes, with nothing in it but the terms of the one `before`."""
    quote = Quote(
        job_id=job.id,
        version=last_version(act.session, job.id) + 1,
        kind=kind,
        plan_version=last_plan_version(act.session, job.id) or None,
        has_tax_inside=has_tax_inside,
        discount_minor=before.discount_minor if before else 0,
        discount_why=before.discount_why if before else "",
        deposit_minor=before.deposit_minor if before else 0,
        not_included=before.not_included if before else "",
        words=before.words if before else "",
        made_at=act.moment,
        made_on=act.day,
        first_key=before.first_key if before else draw_keys(job, QUOTE_KEYS),
    )
    act.session.add(quote)
    act.session.flush()
    return quote


def give(act: Act, quote: Quote, paper: NewPaper | None = None) -> None:
    """A part of an act: the quote is given from now on, and what it says is frozen in its row.

    Conflict where its paper was made from something else than what stands in the book now.
    """
    day = act.day
    quote.valid_until_on = valid_until(ShopOn(act.session, day), quote)
    if quote.valid_until_on < day:
        raise RuleBroken("Choose today or a later day.", "valid_until")
    quote.given_at, quote.given_on = act.moment, day
    row = write_given(act.session, act.moment, quote, paper.sha256 if paper else "")
    if paper is not None and paper.content and paper.content != row.content:
        raise Conflict(CHANGED_MEANWHILE)


def _replace_earlier(act: Act, quote: Quote) -> None:
    if quote.kind == QuoteKind.EXTRA:
        return
    for other in list_quotes(act.session, quote.job_id):
        if other.id != quote.id and other.kind != QuoteKind.EXTRA and other.replaced_at is None:
            other.replaced_at = act.moment


def open_job_of(session: Session, job_id: int) -> Job:
    """The job that a quote is to be made for. RuleBroken once it is cancelled or handed over."""
    job = get_job_by_id(session, job_id)
    if job.called_off_at is not None:
        raise RuleBroken("This job is {cancelled}. Reopen it first.")
    if job.handed_over_at is not None:
        raise RuleBroken("This car has been handed over. Open a new job.")
    return job


def log_quote(act: Act, deed: str, quote: Quote, words: str) -> None:
    """One line of the log about a quote and its job."""
    log_job(act, deed, get_job_by_id(act.session, quote.job_id), words, subject="quote", subject_id=quote.id)


def ask_party(act: Act, quote: Quote, party: Party, how: str = "") -> None:
    """Keep that somebody was asked for approval, now; `how` is a word of `ASKED_WORDS` or empty."""
    if party is Party.CUSTOMER:
        quote.asked_customer_at = act.moment
        mark_quoted(act.session, get_job_by_id(act.session, quote.job_id))
    else:
        quote.asked_payer_at, quote.payer_declined_at = act.moment, None
    whom = "the customer" if party is Party.CUSTOMER else "the payer"
    words = f"Asked {whom} to approve version {quote.version}"
    log_quote(act, "ask_again", quote, f"{words}: {how}" if how else words)


def mark_quoted(session: Session, job: Job) -> None:
    """Keep since when the customer of a job has the quote that stands; empty where none stands with them."""
    asked = [
        quote.asked_customer_at
        for quote in list_quotes(session, job.id)
        if is_main(quote) and quote.replaced_at is None and quote.asked_customer_at is not None
    ]
    job.quoted_at = max(asked, default=None)
    session.flush()


def refuse_unpaid(job: Job) -> None:
    """RuleBroken for a job that nobody pays for: our own car, goodwill, a comeback."""
    if not is_paid_for(job.purpose):
        purpose = JOB_PURPOSE_WORDS[JobPurpose(job.purpose)]
        raise RuleBroken(f"Nobody is billed for this job ({purpose}). Change its purpose first.")
