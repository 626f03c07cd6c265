"""A quote is given: its one row is written, with its figures, its words as seen and the hash of its paper."""

from datetime import datetime

from sqlalchemy.orm import Session
from sqlalchemy.orm.attributes import set_committed_value

from shopbook.models.money import GivenQuote, Quote
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.payers import payers_of
from shopbook.queries.money.quotes import list_quotes
from shopbook.queries.money.seen import Surroundings, as_given_on
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.shop_on import ShopOn


def write_given(session: Session, now: datetime, quote: Quote, sha256: str = "") -> GivenQuote:
    """The one place where a given quote's row is written; everything that is said of it later reads this row.

    The quote has its groups and lines loaded.
    """
    day = day_of(session, now)
    job = get_job_by_id(session, quote.job_id)
    around = Surroundings(ShopOn(session, day), job, payers_of(session, job), list_quotes(session, job.id))
    content = as_given_on(around, quote, day).to_json()
    row = GivenQuote(quote_id=quote.id, at=now, on=day, content=content, sha256=sha256)
    session.add(row)
    # Written first, so that the quote in hand holds the row as the book has it and nobody adds it a second time.
    session.flush()
    set_committed_value(quote, "given_row", row)
    return row
