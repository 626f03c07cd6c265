"""What of the book bears on one quote, read once for its page and its paper."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy.orm import Session

from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.approvals import AgreedQuote, read_approvals
from shopbook.queries.money.payers import NamedPayer, NamedShare, payers_by_job
from shopbook.queries.money.quotes import is_plus_tax, job_of_quote, keys_of, priced_quotes
from shopbook.queries.money.seen import Surroundings, as_given_on, payer_words, see_words
from shopbook.queries.money.whose import have_others, shares_among
from shopbook.queries.money.words import get_wording
from shopbook.trade.agreeing.words import Party
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing import PricedGroup, QuoteSum
from shopbook.trade.pricing.given import Given, SeenWords, given_from_json
from shopbook.web.parts.act import shop_now
from shopbook.web.parts.rows import Approval, Job, Quote


@dataclass(frozen=True, slots=True)
class Known:
    """One quote with its job, approvals and sums. `given` is its frozen row, for a draft what the row would be now."""

    quote: Quote
    job: Job
    given: Given
    words: SeenWords
    is_draft: bool
    customer_approval: Approval | None
    payer_approvals: Sequence[Approval]
    taken: frozenset[int] | None
    sum: QuoteSum
    payers: Sequence[tuple[str, int]]
    """Who pays what: as it was said, and once the customer approved, of what was taken; empty for one payer."""
    shares: Sequence[NamedShare]
    """The payers as they are now; empty where their rules ask for more than the work comes to."""
    quotes: Sequence[Quote]
    """All quotes and extras of the job, newest first."""
    agreed: Sequence[AgreedQuote]
    named: Sequence[NamedPayer]
    """Who pays for the job, by which rule."""

    @property
    def is_reconstructed(self) -> bool:
        """Whether an upgrade wrote its row, so that its words are not known."""
        return self.quote.given_row is not None and self.quote.given_row.is_reconstructed

    @property
    def has_other_payer(self) -> bool:
        """Whether a payer's approval is wanted besides the customer's."""
        return have_others(self.named) or self.job.payer_kind == CustomerKind.INSURER

    @property
    def prices(self) -> Mapping[int, int]:
        """What each item comes to, by its id."""
        return {int(group.key): group.sum_minor for group in self.given.priced.groups}

    @property
    def groups(self) -> list[PricedGroup]:
        """The items that are taken; all, while nobody approved."""
        return [group for group in self.given.priced.groups if self.taken is None or int(group.key) in self.taken]


def read_quote(session: Session, quote_id: int, *, as_given: bool = False) -> Known:
    """Everything that stands on a quote's paper; with `as_given` as if it were given at this moment."""
    job = get_job_by_id(session, job_of_quote(session, quote_id))
    approvals = read_approvals(session, [job.id])
    quotes, agreed = approvals.quotes[job.id], approvals.agreed[job.id]
    quote = next(each for each in quotes if each.id == quote_id)
    payers = payers_by_job(session, [job.id], {job.id: job.customer})[job.id]
    around = Surroundings(shop_now(), job, payers, quotes)
    given = _given(around, quote, as_given=as_given)
    customer_approval = next(reversed(approvals.given_to(quote, Party.CUSTOMER)), None)
    taken = _taken(approvals.taken[customer_approval.id]) if customer_approval else None
    shares = _shares(session, payers, agreed, quote, taken)
    words = given.words or _words_now(around, quote, given)
    return Known(
        quote=quote,
        job=job,
        given=given,
        words=words,
        is_draft=quote.given_row is None and quote.given_at is None and not as_given,
        customer_approval=customer_approval,
        payer_approvals=approvals.given_to(quote, Party.PAYER),
        taken=taken,
        sum=given.priced.sum(keys_of(taken)),
        payers=words.payers if taken is None else _payers(session, shares),
        shares=shares,
        quotes=quotes,
        agreed=agreed,
        named=payers,
    )


def _given(around: Surroundings, quote: Quote, *, as_given: bool) -> Given:
    """What its row says, a price before tax with the tax that was set since; without a row what it would say."""
    if quote.given_row is None:
        return as_given_on(around, quote, quote.given_on or (around.shop.day if as_given else None))
    given = given_from_json(quote.given_row.content)
    if is_plus_tax(given.priced):
        return replace(given, priced=priced_quotes(around.shop.session, [quote])[quote.id])
    return given


def _words_now(around: Surroundings, quote: Quote, given: Given) -> SeenWords:
    """Of a quote given before its words were kept: those of the book as it is now."""
    until = date.fromisoformat(given.valid_until_on) if given.valid_until_on else None
    return see_words(around, quote, given.priced, quote.given_on, until)


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
