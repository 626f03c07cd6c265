"""Extras that somebody told of and that were not put before the owner yet: they wait for the desk."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.jobs import Job
from shopbook.models.money import Quote
from shopbook.models.shop import LogLine
from shopbook.queries.floor.clocks import names_of
from shopbook.queries.money.quotes import priced_quotes, quotes_of

DRAFT_EXTRA = "draft_extra"
"""The act that the log keeps for an extra that was found."""


@dataclass(frozen=True, slots=True)
class ToldExtra:
    """One extra that waits for the desk, with its job (car and owner loaded), who told of it, and when.

    `gross_minor` is what it comes to by the hours that were said, None while nothing prices it; `minutes` those hours.
    """

    quote: Quote
    job: Job
    told_by: str
    at: datetime
    minutes: int
    gross_minor: int | None

    @property
    def title(self) -> str:
        """What was found, in the words of whoever found it."""
        return self.quote.groups[0].title if self.quote.groups else ""

    @property
    def below(self) -> str:
        """What is to be done about it."""
        return self.quote.groups[0].below if self.quote.groups else ""

    @property
    def is_before_the_yes(self) -> bool:
        """Whether the quote itself has no yes: then it belongs on the quote, and is asked for with it."""
        return self.job.agreed_at is None


def list_told_extras(session: Session, day: date) -> list[ToldExtra]:
    """Extras of cars in the shop's hands that were found and neither asked about, answered nor withdrawn, oldest first.

    A fixed number of statements.
    """
    session.flush()
    rows = session.execute(
        select(Quote.id, Job)
        .join(Job, Job.id == Quote.job_id)
        .where(
            Quote.kind == "extra",
            Quote.asked_owner_at.is_(None),
            Quote.answered_at.is_(None),
            Quote.replaced_at.is_(None),
            Job.settled_at.is_(None),
            Job.handed_over_at.is_(None),
            Job.called_off_at.is_(None),
            Job.is_sample.is_(False),
        )
        .options(joinedload(Job.customer), joinedload(Job.vehicle))
        .order_by(Quote.made_at, Quote.id)
    ).all()
    wholes = {quote.id: quote for each in quotes_of(session, {job.id for _, job in rows}).values() for quote in each}
    told_by = _tellers(session, [key for key, _ in rows])
    priced = priced_quotes(session, (wholes[key] for key, _ in rows))
    found = []
    for key, job in rows:
        quote = wholes[key]
        lines = [line for group in quote.groups for line in group.lines]
        has_price = sum(line.amount_minor for line in lines) or any(g.price_minor is not None for g in quote.groups)
        gross = priced[key].sum().taken.gross_minor if has_price else None
        found.append(
            ToldExtra(quote, job, told_by.get(key, ""), quote.made_at, sum(line.minutes for line in lines), gross)
        )
    return found


def _tellers(session: Session, quote_ids: Collection[int]) -> dict[int, str]:
    """Who told of each extra, by its id; two statements."""
    lines = session.execute(
        select(LogLine.subject_id, LogLine.person_id).where(
            LogLine.subject == "quote", LogLine.subject_id.in_(quote_ids), LogLine.act == DRAFT_EXTRA
        )
    ).all()
    people = {key: person for key, person in lines if key is not None and person is not None}
    names = names_of(session, people.values())
    return {key: names.get(person, "") for key, person in people.items()}
