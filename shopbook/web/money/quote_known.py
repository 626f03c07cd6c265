"""What of the book bears on one quote, read once for its page and its paper."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy.orm import Session

from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.agreements import AgreedQuote, read_approvals
from shopbook.queries.money.payers import NamedPayer, NamedShare, payers_by_job
from shopbook.queries.money.quotes import is_plus_tax, job_of_quote, keys_of, priced_quotes
from shopbook.queries.money.seen import as_given_on, payer_words, see_words
from shopbook.queries.money.whose import have_others, shares_among
from shopbook.queries.money.words import get_wording
from shopbook.queries.shop.days import day_of
from shopbook.trade.agreeing.words import Party
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing import QuoteSum
from shopbook.trade.pricing.given import Given, SeenWords, given_from_json
from shopbook.web.parts.act import now
from shopbook.web.parts.rows import Agreement, Job, Quote


@dataclass(frozen=True, slots=True)
class Known:
    """One quote with its job, approvals and sums. `given` is its frozen row, for a draft what the row would be now."""

    quote: Quote
    job: Job
    given: Given
    words: SeenWords
    is_draft: bool
    is_reconstructed: bool
    owner_yes: Agreement | None
    payer_yeses: Sequence[Agreement]
    taken: frozenset[int] | None
    sum: QuoteSum
    prices: Mapping[int, int]
    payers: Sequence[tuple[str, int]]
    """Who pays what: as it was said, and once the customer approved, of what was taken; empty for one payer."""
    has_other_payer: bool
    shares: Sequence[NamedShare]
    """The payers as they are now; empty where their rules ask for more than the work comes to."""
    quotes: Sequence[Quote]
    """All quotes and extras of the job, newest first."""
    agreed: Sequence[AgreedQuote]
    named: Sequence[NamedPayer]
    """Who pays for the job, by which rule."""


def read_quote(session: Session, quote_id: int, *, as_given: bool = False) -> Known:
    """Everything that stands on a quote's paper; with `as_given` as if it were given at this moment."""
    job = get_job_by_id(session, job_of_quote(session, quote_id))
    approvals = read_approvals(session, [job.id])
    quotes, agreed = approvals.quotes[job.id], approvals.agreed[job.id]
    quote = next(each for each in quotes if each.id == quote_id)
    row = quote.given_row
    given = given_from_json(row.content) if row else _living(session, quote, job, as_given=as_given)
    if row and is_plus_tax(given.priced):
        given = replace(given, priced=priced_quotes(session, [quote])[quote.id])
    yeses = [each for each in approvals.given.get(job.id, []) if each.quote_id == quote_id]
    owner_yes = next((each for each in reversed(yeses) if each.party == Party.OWNER), None)
    taken = _taken(approvals.taken[owner_yes.id]) if owner_yes else None
    payers = payers_by_job(session, [job.id], {job.id: job.customer})[job.id]
    shares = _shares(session, payers, agreed, quote, taken)
    words = given.words or _words_now(session, quote, job, given)
    return Known(
        quote=quote,
        job=job,
        given=given,
        words=words,
        is_draft=row is None and quote.given_at is None and not as_given,
        is_reconstructed=row is not None and row.is_reconstructed,
        owner_yes=owner_yes,
        payer_yeses=[each for each in yeses if each.party == Party.PAYER],
        taken=taken,
        sum=given.priced.sum(keys_of(taken)),
        prices={int(group.key): group.sum_minor for group in given.priced.groups},
        payers=words.payers if taken is None else _payers(session, shares),
        has_other_payer=have_others(payers) or job.payer_kind == CustomerKind.INSURER,
        shares=shares,
        quotes=quotes,
        agreed=agreed,
        named=payers,
    )


def _living(session: Session, quote: Quote, job: Job, *, as_given: bool) -> Given:
    return as_given_on(session, quote, job, quote.given_on or (day_of(session, now()) if as_given else None))


def _words_now(session: Session, quote: Quote, job: Job, given: Given) -> SeenWords:
    """Of a quote given before its words were kept: those of the book as it is now."""
    until = date.fromisoformat(given.valid_until_on) if given.valid_until_on else None
    return see_words(session, quote, job, given.priced, quote.given_on, until)


def _taken(marks: Mapping[int, bool]) -> frozenset[int]:
    return frozenset(group_id for group_id, is_taken in marks.items() if is_taken)


def _shares(
    session: Session,
    payers: Sequence[NamedPayer],
    agreed: Sequence[AgreedQuote],
    quote: Quote,
    taken: frozenset[int] | None,
) -> list[NamedShare]:
    try:
        return shares_among(session, payers, agreed, quote, taken)
    except RuleBroken:
        return []


def _payers(session: Session, shares: Sequence[NamedShare]) -> list[tuple[str, int]]:
    said = get_wording(session)
    return [(payer_words(row, said), row.gross_minor) for row in shares] if len(shares) > 1 else []
