"""Quotes and extras of open jobs that wait for a word, read once for all who ask: no answer, no approval, not asked."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Exists, exists, or_, select
from sqlalchemy.orm import Session, joinedload, selectinload

from shopbook.models.jobs import Job
from shopbook.models.money import Approval, Quote, QuoteGroup
from shopbook.queries.money.quotes import priced_quotes
from shopbook.queries.money.withdrawals import is_not_withdrawn
from shopbook.queries.shop.days import day_of
from shopbook.trade.agreeing.words import Party, QuoteKind
from shopbook.trade.pricing import PricedQuote
from shopbook.trade.purposes import JobPurpose


@dataclass(frozen=True, slots=True)
class OpenQuotes:
    """The quotes with their jobs (car and customer loaded), by id; priced; and who has approved which."""

    rows: tuple[tuple[Quote, Job], ...]
    priced: Mapping[int, PricedQuote]
    approved: frozenset[tuple[int, Party]]
    """(quote id, party)."""


def read_open_quotes(session: Session) -> OpenQuotes:
    """Every quote of an open job that was asked about and not answered or approved, and every extra not asked about;
    a fixed number of statements."""
    session.flush()
    asked = (
        select(Quote, Job, _is_approved(Party.CUSTOMER), _is_approved(Party.PAYER))
        .join(Job, Job.id == Quote.job_id)
        .where(
            Job.settled_at.is_(None),
            Job.called_off_at.is_(None),
            Job.is_sample.is_(False),
            Quote.replaced_at.is_(None),
            or_(
                (Job.purpose == JobPurpose.PAID) & Quote.asked_customer_at.is_not(None) & Quote.answered_at.is_(None),
                Quote.asked_customer_at.is_not(None) & ~_is_approved(Party.CUSTOMER),
                Quote.asked_payer_at.is_not(None) & Quote.payer_declined_at.is_(None) & ~_is_approved(Party.PAYER),
                (Quote.kind == QuoteKind.EXTRA) & Quote.asked_customer_at.is_(None) & Quote.answered_at.is_(None),
            ),
        )
        .options(
            joinedload(Job.customer),
            joinedload(Job.vehicle),
            selectinload(Quote.groups).joinedload(QuoteGroup.lines),
            joinedload(Quote.given_row),
        )
        .order_by(Quote.id)
        .execution_options(populate_existing=True)
    )
    rows = session.execute(asked).unique().all()
    owner, payer = ([quote.id for quote, _, *approval in rows if approval[place]] for place in (0, 1))
    approved = frozenset([*((key, Party.CUSTOMER) for key in owner), *((key, Party.PAYER) for key in payer)])
    return OpenQuotes(
        tuple((quote, job) for quote, job, *_ in rows), priced_quotes(session, (row[0] for row in rows)), approved
    )


def _is_approved(party: Party) -> Exists:
    return exists().where(Approval.quote_id == Quote.id, Approval.party == party, is_not_withdrawn())


@dataclass(frozen=True, slots=True)
class OpenQuote:
    """A quote that its customer has and has not answered, with its job, car and customer."""

    quote: Quote
    job: Job
    gross_minor: int
    days: int
    """Since the customer was asked."""
    is_past: bool
    """Its validity has passed."""


def quotes_without_answer(session: Session, day: date, opened: OpenQuotes | None = None) -> list[OpenQuote]:
    """Quotes of open jobs that were sent, said or shown and not answered, replaced or withdrawn, oldest first.

    One that was only given, or saved at the car, waits for no answer: 3 quotes given and 1 of them sent are 1 row.
    `opened` are the open quotes where they are read already.
    """
    opened = opened or read_open_quotes(session)
    rows = [
        (asked_at, quote, job)
        for quote, job in opened.rows
        if job.purpose == JobPurpose.PAID and (asked_at := quote.asked_customer_at) and quote.answered_at is None
    ]
    return [
        OpenQuote(
            quote=quote,
            job=job,
            gross_minor=opened.priced[quote.id].sum().taken.gross_minor,
            days=(day - day_of(session, asked_at)).days,
            is_past=quote.valid_until_on is not None and quote.valid_until_on < day,
        )
        for asked_at, quote, job in sorted(rows, key=lambda row: (row[0], row[1].id))
    ]
