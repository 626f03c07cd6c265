"""When an approval was given: now, or earlier than it is saved."""

from datetime import datetime, timedelta

from shopbook.models.money import Quote
from shopbook.queries.shop.book import country_of, get_book
from shopbook.queries.shop.days import day_of
from shopbook.services.act import Act
from shopbook.services.postings import refuse_closed
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.days import format_moment

MINUTE = timedelta(minutes=1)


def said_when(act: Act, quote: Quote, said_at: datetime | None) -> datetime:
    """The moment that an approval of a quote counts from; a clock is typed to the minute, and what lies between holds.

    Given Friday 9:05:40, saved Monday 8:10:20: without a moment Monday 8:10:20, "8:10" is that too, "Friday 9:05" is
    Friday 9:05:40. RuleBroken for Friday 9:04, for Monday 8:11, and for a day in a closed month.
    """
    if said_at is None or said_at <= act.moment < said_at + MINUTE:
        return act.moment
    if said_at > act.moment:
        raise RuleBroken("Enter a day and time that are not in the future.", "clock")
    given_at = quote.given_at or act.moment
    if said_at + MINUTE <= given_at:
        raise RuleBroken(_too_early(act, given_at), "clock")
    when = max(said_at, given_at)
    refuse_closed(act.session, day_of(act.session, when), field="day")
    return when


def _too_early(act: Act, given_at: datetime) -> str:
    book = get_book(act.session)
    country = country_of(book)
    given = format_moment(given_at, book.zone, country.date_form, country.clock_form)
    return f"This {{estimate}} was issued {given}. Enter that time or a later one."
