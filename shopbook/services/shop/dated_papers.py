"""Papers that run out are noted, changed, renewed and let go."""

from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.models.shop import DatedPaper
from shopbook.queries.shop.dated_papers import get_dated_paper
from shopbook.queries.shop.days import day_of
from shopbook.services.postings import write_log
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.waste import PAPER_WORDS, RENEWED_MONTHS, PaperKind

MOST_MONTHS = 240


def add_dated_paper(
    session: Session,
    actor: Actor,
    now: datetime,
    *,
    kind: str,
    whose: str,
    last_on: date,
    months: int | None = None,
    note: str = "",
) -> DatedPaper:
    """One more paper; `months` until it is made again, the usual for its kind when None.

    RuleBroken for a kind that is not known, a day to come, or months outside 1 to 240.
    """
    paper = DatedPaper(kind=_kind(kind), ended_at=None)
    _describe(paper, whose, last_on, months, note, day_of(session, now))
    session.add(paper)
    session.flush()
    _log(session, actor, now, "add_dated_paper", paper, "Noted")
    return paper


def change_dated_paper(
    session: Session,
    actor: Actor,
    now: datetime,
    paper_id: int,
    *,
    whose: str,
    last_on: date,
    months: int | None = None,
    note: str = "",
) -> DatedPaper:
    """Describe a paper otherwise; RuleBroken as when it is added, NotFound for one that is not kept."""
    paper = get_dated_paper(session, paper_id)
    _describe(paper, whose, last_on, months, note, day_of(session, now))
    _log(session, actor, now, "change_dated_paper", paper, "Changed")
    return paper


def renew_dated_paper(session: Session, actor: Actor, now: datetime, paper_id: int) -> DatedPaper:
    """It was made again today; the log keeps the day before."""
    paper = get_dated_paper(session, paper_id)
    was, paper.last_on = paper.last_on, day_of(session, now)
    _log(session, actor, now, "renew_dated_paper", paper, f"Renewed, last on {was.isoformat()}:")
    return paper


def end_dated_paper(session: Session, actor: Actor, now: datetime, paper_id: int) -> None:
    """It is not wanted any more: the person left, the thing is gone."""
    paper = get_dated_paper(session, paper_id)
    paper.ended_at = now
    _log(session, actor, now, "end_dated_paper", paper, "Let go of")


def _describe(paper: DatedPaper, whose: str, last_on: date, months: int | None, note: str, today: date) -> None:
    if last_on > today:
        raise RuleBroken("It cannot have been made on a day to come.", "last_on")
    wanted = RENEWED_MONTHS[PaperKind(paper.kind)] if months is None else months
    if not 1 <= wanted <= MOST_MONTHS:
        raise RuleBroken(f"It is made again after 1 to {MOST_MONTHS} months.", "months")
    paper.whose, paper.last_on, paper.months, paper.note = whose.strip(), last_on, wanted, note.strip()


def _kind(kind: str) -> str:
    if kind not in set(PaperKind):
        raise RuleBroken("Choose what kind of paper it is.", "kind")
    return PaperKind(kind).value


def _log(session: Session, actor: Actor, now: datetime, act: str, paper: DatedPaper, verb: str) -> None:
    words = PAPER_WORDS[PaperKind(paper.kind)]
    about = f"{verb} {words}" + (f", {paper.whose}" if paper.whose else "")
    write_log(session, actor, now, act, "dated_paper", paper.id, about)
