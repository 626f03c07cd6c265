"""The book's one row, places, closed days, papers."""

from datetime import date
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shop import Book, ClosedDay, Paper, Place
from shopbook.trade.errors import NotFound


def find_book(session: Session) -> Book | None:
    """The book's row, or None before the first run has been answered."""
    return session.get(Book, 1)


def get_book(session: Session) -> Book:
    """The book's row; NotFound before the first run."""
    book = find_book(session)
    if book is None:
        raise NotFound("This book has not been started yet: answer its three questions first.")
    return book


def get_zone(session: Session) -> ZoneInfo:
    """The shop's time zone."""
    return ZoneInfo(get_book(session).zone)


def list_places(session: Session) -> list[Place]:
    """Bays and yard places in use, by name."""
    return list(session.scalars(select(Place).where(Place.is_active).order_by(Place.is_bay.desc(), Place.name)))


def list_closed_days(session: Session, first: date, last: date) -> list[ClosedDay]:
    """Closed days from `first` to `last`, both included."""
    return list(
        session.scalars(select(ClosedDay).where(ClosedDay.closed_on.between(first, last)).order_by(ClosedDay.closed_on))
    )


def get_paper(session: Session, paper_id: int) -> Paper:
    """One issued paper; NotFound when there is none."""
    paper = session.get(Paper, paper_id)
    if paper is None:
        raise NotFound("There is no such paper in the book.")
    return paper


def list_papers(session: Session, subject: str, subject_id: int) -> list[Paper]:
    """The papers issued for one thing, newest first."""
    return list(
        session.scalars(
            select(Paper).where(Paper.subject == subject, Paper.subject_id == subject_id).order_by(Paper.id.desc())
        )
    )
