"""Papers that expire are added, changed, renewed and removed."""

from datetime import date

from shopbook.models.shop import DatedPaper
from shopbook.queries.shop.dated_papers import get_dated_paper
from shopbook.services.act import Act
from shopbook.services.postings import is_changed, write_log
from shopbook.trade.air.waste import PAPER_WORDS, RENEWED_MONTHS, PaperKind
from shopbook.trade.errors import RuleBroken

MOST_MONTHS = 240


def add_dated_paper(
    act: Act,
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
    paper = DatedPaper(kind=_kind(kind))
    _describe(paper, whose, last_on, months, note, act.day)
    act.session.add(paper)
    act.session.flush()
    _log(act, "add_dated_paper", paper, "Added")
    return paper


def change_dated_paper(
    act: Act,
    paper_id: int,
    *,
    whose: str,
    last_on: date,
    months: int | None = None,
    note: str = "",
) -> DatedPaper:
    """Change a paper's details; RuleBroken as when it is added, NotFound for one that is not kept."""
    paper = get_dated_paper(act.session, paper_id)
    _describe(paper, whose, last_on, months, note, act.day)
    if is_changed(act, paper):
        _log(act, "change_dated_paper", paper, "Changed")
    return paper


def renew_dated_paper(act: Act, paper_id: int) -> DatedPaper:
    """It was renewed today; the log keeps the earlier day."""
    paper = get_dated_paper(act.session, paper_id)
    was, paper.last_on = paper.last_on, act.day
    _log(act, "renew_dated_paper", paper, f"Renewed, last done {was.isoformat()}:")
    return paper


def end_dated_paper(act: Act, paper_id: int) -> None:
    """It is no longer needed: the person left, the thing is gone."""
    paper = get_dated_paper(act.session, paper_id)
    paper.ended_at = act.moment
    _log(act, "end_dated_paper", paper, "Removed")


def _describe(paper: DatedPaper, whose: str, last_on: date, months: int | None, note: str, today: date) -> None:
    if last_on > today:
        raise RuleBroken("Enter today or an earlier day.", "last_on")
    wanted = RENEWED_MONTHS[PaperKind(paper.kind)] if months is None else months
    if not 1 <= wanted <= MOST_MONTHS:
        raise RuleBroken(f"Enter 1 to {MOST_MONTHS} months.", "months")
    paper.whose, paper.last_on, paper.months, paper.note = whose.strip(), last_on, wanted, note.strip()


def _kind(kind: str) -> str:
    if kind not in set(PaperKind):
        raise RuleBroken("Choose the kind of certificate or check.", "kind")
    return PaperKind(kind).value


def _log(act: Act, deed: str, paper: DatedPaper, verb: str) -> None:
    words = PAPER_WORDS[PaperKind(paper.kind)]
    about = f"{verb} {words}" + (f", {paper.whose}" if paper.whose else "")
    write_log(act, deed, "dated_paper", paper.id, about)
