"""Extras that somebody told of and that were not put before the owner yet: they wait for the desk."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Quote
from shopbook.models.shop import LogLine
from shopbook.queries.floor.clocks import names_of
from shopbook.queries.money.open_quotes import OpenQuotes, read_open_quotes

DRAFT_EXTRA = "draft_extra"
"""The act that the log keeps for an extra that was found."""


@dataclass(frozen=True, slots=True)
class ToldExtra:
    """One extra that waits for the desk, with its job (car and owner loaded), who told of it, and what it comes to."""

    quote: Quote
    job: Job
    told_by: str
    sum_minor: int

    @property
    def at(self) -> datetime:
        """When it was told of."""
        return self.quote.made_at

    @property
    def minutes(self) -> int:
        """The hours that were said."""
        return sum(line.minutes for group in self.quote.groups for line in group.lines)

    @property
    def gross_minor(self) -> int | None:
        """What it comes to by those hours, with tax; None while nothing prices it."""
        groups = self.quote.groups
        lines_minor = sum(line.amount_minor for group in groups for line in group.lines)
        return self.sum_minor if lines_minor or any(group.price_minor is not None for group in groups) else None

    @property
    def title(self) -> str:
        """What was found, in the words of whoever found it."""
        return self.quote.groups[0].title if self.quote.groups else ""

    @property
    def below(self) -> str:
        """What is to be done about it."""
        return self.quote.groups[0].below if self.quote.groups else ""

    @property
    def is_before_the_approval(self) -> bool:
        """Whether the quote itself has no yes: then it belongs on the quote, and is asked for with it."""
        return self.job.agreed_at is None


def list_told_extras(session: Session, opened: OpenQuotes | None = None) -> list[ToldExtra]:
    """Extras of cars in the shop's hands that were found and neither asked about, answered nor withdrawn, oldest first.

    A fixed number of statements. `opened` are the open quotes where they are read already.
    """
    opened = opened or read_open_quotes(session)
    rows = [
        (quote, job)
        for quote, job in opened.rows
        if quote.kind == "extra" and not (quote.asked_customer_at or quote.answered_at or job.handed_over_at)
    ]
    told_by = _tellers(session, [quote.id for quote, _ in rows])
    return [
        ToldExtra(quote, job, told_by.get(quote.id, ""), opened.priced[quote.id].sum().taken.gross_minor)
        for quote, job in sorted(rows, key=lambda row: (row[0].made_at, row[0].id))
    ]


def _tellers(session: Session, quote_ids: Collection[int]) -> dict[int, str]:
    """Who told of each extra, by its id; two statements."""
    if not quote_ids:
        return {}
    lines = session.execute(
        select(LogLine.subject_id, LogLine.person_id).where(
            LogLine.subject == "quote", LogLine.subject_id.in_(quote_ids), LogLine.act == DRAFT_EXTRA
        )
    ).all()
    people = {key: person for key, person in lines if key is not None and person is not None}
    names = names_of(session, people.values())
    return {key: names.get(person, "") for key, person in people.items()}
