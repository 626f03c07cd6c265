"""Quotes with groups and lines, what they come to with tax, which wait for an answer, and how many became work."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date

from sqlalchemy import Select, exists, func, select
from sqlalchemy.orm import Session, aliased, joinedload, selectinload

from shopbook.models.jobs import Job
from shopbook.models.money import Quote, QuoteGroup, QuoteLine
from shopbook.queries.money.pricing import bill_rates_by_day
from shopbook.trade.billing import NOT_SET, Bill, BillLine, LineKind, TaxRate
from shopbook.trade.billing.exempt import rates_for
from shopbook.trade.errors import NotFound
from shopbook.trade.measures.days import month_of
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.pricing import PaintedItem, PricedGroup, PricedQuote, QuoteSum, SavingTerms
from shopbook.trade.pricing.given import given_from_json
from shopbook.trade.pricing.keys import discount_key, item_key


def get_quote(session: Session, quote_id: int) -> Quote:
    """One quote with groups and lines loaded; NotFound when there is none."""
    session.flush()
    quote = session.scalar(_whole(select(Quote).where(Quote.id == quote_id)))
    if quote is None:
        raise NotFound("That {estimate} is not in the book.")
    return quote


def job_of_quote(session: Session, quote_id: int) -> int:
    """The id of the job that a quote is for; NotFound when there is no such quote."""
    job_id = session.scalar(select(Quote.job_id).where(Quote.id == quote_id))
    if job_id is None:
        raise NotFound("That {estimate} is not in the book.")
    return job_id


def list_quotes(session: Session, job_id: int) -> list[Quote]:
    """All versions and extras of a job, newest first, groups and lines loaded."""
    return quotes_of(session, [job_id]).get(job_id, [])


def quotes_of(session: Session, job_ids: Iterable[int]) -> dict[int, list[Quote]]:
    """The quotes of several jobs, newest first, by job id; two statements however many."""
    session.flush()
    found: dict[int, list[Quote]] = {}
    asked = _whole(select(Quote).where(Quote.job_id.in_(list(job_ids))).order_by(Quote.job_id, Quote.version.desc()))
    for quote in session.scalars(asked):
        found.setdefault(quote.job_id, []).append(quote)
    return found


def find_current_quote(session: Session, job_id: int) -> Quote | None:
    """The quote to look at for a job: the newest of its main ones that was not replaced or withdrawn, or None."""
    return current_quote(list_quotes(session, job_id))


def current_quote(quotes: Iterable[Quote]) -> Quote | None:
    """The same among a job's quotes, newest first, that are read already."""
    return next((quote for quote in quotes if is_main(quote) and quote.replaced_at is None), None)


def last_version(session: Session, job_id: int) -> int:
    """The highest version given to a quote or extra of a job; zero before the first."""
    return session.scalar(select(func.max(Quote.version)).where(Quote.job_id == job_id)) or 0


def is_main(quote: Quote) -> bool:
    """Whether it is for the job itself, not for an extra found later."""
    return quote.kind != "extra"


def priced_on(quote: Quote) -> date:
    """The day whose kinds of tax a quote is priced at."""
    return quote.given_on or quote.made_on


def _whole(asked: Select[Quote]) -> Select[Quote]:
    groups = selectinload(Quote.groups).joinedload(QuoteGroup.lines)
    return asked.options(groups, joinedload(Quote.given_row)).execution_options(populate_existing=True)


def priced_groups(quote: Quote) -> list[PricedGroup]:
    """The groups as the trade sums them; a group's key here is its id, since two ways of one thing share a panel."""
    return [
        PricedGroup(
            key=str(group.id),
            title=group.title,
            lines=tuple(priced_line(line, group) for line in group.lines),
            choice=group.choice,
            price_minor=group.price_minor,
            painted=_painted(group),
            first_key=group.first_key,
            group_key=group.key,
        )
        for group in quote.groups
    ]


def priced_line(line: QuoteLine, group: QuoteGroup) -> BillLine:
    """A kept line as every bill and paper has it."""
    return BillLine(
        LineKind(line.kind),
        line.words,
        line.amount_minor,
        line.tax_code,
        key=line.line_key,
        item=item_key(group.first_key),
        group_key=group.key,
        title=group.title,
        skill=line.skill,
        minutes=line.minutes,
        rate_minor=line.rate_minor,
        job_part_id=line.job_part_id,
    )


def _painted(group: QuoteGroup) -> PaintedItem | None:
    if not group.paint_minutes:
        return None
    touches = frozenset(panel for panel in group.touches.split(",") if panel)
    is_listed = group.list_minor is not None and group.price_minor == group.list_minor
    return PaintedItem(group.key, group.paint_minutes, touches, is_listed, group.panel_place)


def saving_terms(quote: Quote) -> SavingTerms:
    """What another painted panel saves on this quote, as it was when the quote was written."""
    return SavingTerms(quote.saving_rate_minor, quote.saving_touching_permille, quote.saving_apart_permille)


def priced_quotes(session: Session, quotes: Iterable[Quote]) -> dict[int, PricedQuote]:
    """What each quote's sums are made of, by its id: as it was given, a draft as its rows and the rates of its day are.

    One given before the shop had set its tax was said "plus tax": it froze none, and has the tax that was set since.
    At most one statement however many.
    """
    every = list(quotes)
    given = {row.quote_id: given_from_json(row.content).priced for quote in every if (row := quote.given_row)}
    open_tax = [quote for quote in every if quote.id not in given or is_plus_tax(given[quote.id])]
    rates = bill_rates_by_day(session, (priced_on(quote) for quote in open_tax))
    for quote in open_tax:
        own = given.get(quote.id)
        day = rates_for(rates[priced_on(quote)], quote.exemption, priced_on(quote))
        given[quote.id] = replace(own, rates=tuple(day)) if own else priced_from_rows(quote, day)
    return given


def is_plus_tax(priced: PricedQuote) -> bool:
    """Whether no kind of tax was set when it was priced: what it comes to is said plus tax."""
    return all(rate.code == NOT_SET.code for rate in priced.rates)


def priced_from_rows(quote: Quote, rates: Iterable[TaxRate]) -> PricedQuote:
    """A quote's sums from the rows that are still worked over, at these kinds of tax."""
    return PricedQuote(
        groups=tuple(priced_groups(quote)),
        rates=tuple(rates),
        includes_tax=quote.has_tax_inside,
        discount_minor=quote.discount_minor,
        up_to_minor=quote.up_to_minor if quote.is_estimate else None,
        savings=saving_terms(quote),
        discount_key=discount_key(quote.first_key),
    )


def sum_of_quote(session: Session, quote: Quote, taken_ids: Collection[int] | None = None) -> QuoteSum:
    """What a quote comes to, once it is given as it was given. None takes all, of two ways the first.

    RuleBroken for two ways of one thing, or a discount over the sum.
    """
    return priced_quotes(session, [quote])[quote.id].sum(keys_of(taken_ids))


def keys_of(taken_ids: Iterable[int] | None) -> set[str] | None:
    """Ids of groups as the keys that the trade knows them by."""
    return None if taken_ids is None else {str(group_id) for group_id in taken_ids}


def bill_of_quote(session: Session, quote: Quote, taken_ids: Collection[int] | None = None) -> Bill:
    """The bill of what is taken (None: of all, of two ways the first): net, tax by kind, with tax."""
    return sum_of_quote(session, quote, taken_ids).taken


def _first_or(quote: Quote, taken_ids: Collection[int] | None) -> set[int]:
    if taken_ids is not None:
        return set(taken_ids)
    first = {group.choice: group.id for group in reversed(quote.groups) if group.choice}
    return {group.id for group in quote.groups if not group.choice or first[group.choice] == group.id}


def with_whole_car(quote: Quote, group_ids: Collection[int]) -> set[int]:
    """These items and those of the whole car, which go with any; none for none."""
    whole = {group.id for group in quote.groups if group.key == WHOLE_CAR_GROUP and not group.choice}
    return set(group_ids) | whole if group_ids else set()


def first_ways(quote: Quote) -> set[int]:
    """The ids of the groups that stand for the whole quote: all, and of two ways the first."""
    return _first_or(quote, None)


@dataclass(frozen=True, slots=True)
class QuoteMonth:
    """Jobs first quoted in one month: how many, how many became work, and why the others did not."""

    month: str
    given: int
    became_work: int
    lost: dict[str, int]


def quote_months(session: Session, first: date, last: date) -> list[QuoteMonth]:
    """By month of the first quote given from `first` to `last`: jobs quoted, approved, and lost by reason."""
    earlier = aliased(Quote)
    is_first = ~exists().where(earlier.job_id == Quote.job_id, earlier.given_on < first)
    rows = session.execute(
        select(func.min(Quote.given_on), Job.agreed_at, Job.called_off_at, Job.called_off_why)
        .join(Job, Job.id == Quote.job_id)
        .where(Quote.given_on.between(first, last), is_first, Job.is_sample.is_(False))
        .group_by(Job.id, Job.agreed_at, Job.called_off_at, Job.called_off_why)
    ).all()
    found: dict[str, QuoteMonth] = {}
    for given_on, agreed_at, called_off_at, why in sorted(rows, key=lambda row: row[0] or first):
        key = month_of(given_on or first)
        so_far = found.get(key, QuoteMonth(key, 0, 0, {}))
        lost = dict(so_far.lost)
        if agreed_at is None and called_off_at is not None:
            lost[why] = lost.get(why, 0) + 1
        found[key] = QuoteMonth(key, so_far.given + 1, so_far.became_work + (agreed_at is not None), lost)
    return list(found.values())
