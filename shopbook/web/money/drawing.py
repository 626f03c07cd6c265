"""The papers that an act issues are drawn before their numbers are: a paper that cannot be drawn is never issued."""

from collections.abc import Callable
from functools import partial

from flask import current_app, g
from sqlalchemy.orm import Session

from shopbook.documents.invoice import InvoicePaper, make_invoice_file
from shopbook.documents.slip import SlipPaper, make_slip_file
from shopbook.queries.money.invoices import last_paper_id, list_papers_since
from shopbook.queries.money.receipts import last_receipt_id, list_receipts_since
from shopbook.services.act import Act
from shopbook.trade.errors import RuleBroken
from shopbook.web.money.invoice_view import paper_of, receipt_of
from shopbook.web.parts.act import Doing, Done, Prepared, perform

Drawn = dict[InvoicePaper | SlipPaper, bytes]
NOT_DRAWN = (
    "The PDF could not be made, so nothing is issued and no number is used. Shorten the longest text, then try again."
)


class _OnlyDrawn(Exception):
    """Ends the transaction without keeping anything."""

    def __init__(self, papers: list[InvoicePaper | SlipPaper]) -> None:
        super().__init__()
        self.papers = papers


def drawn_first(doing: Doing) -> Prepared:
    """An act that issues papers: it is performed once they are drawn, or not at all."""
    return Prepared(doing, _draw_before)


def _draw_before(doing: Doing, key: str) -> Doing:
    """The act with the files of its papers made beforehand, outside of its transaction.

    It is tried in a transaction that is given up, what it would issue is drawn, and the act that follows keeps those
    very bytes. Where somebody else took a number in between, the paper is drawn anew before the commit. RuleBroken
    where a paper cannot be drawn: no number is used and nothing is kept.
    """
    drawn: Drawn = {paper: _draw(paper) for paper in _would_issue(doing, key)}
    return partial(_issue, doing, drawn)


def _would_issue(doing: Doing, key: str) -> list[InvoicePaper | SlipPaper]:
    try:
        perform(partial(_try, doing), key)
    except _OnlyDrawn as tried:
        return tried.papers
    return []  # pressed before: it leads where the first press led


def _try(doing: Doing, act: Act) -> Done:
    _, papers = _watched(doing, act)
    raise _OnlyDrawn(papers)


def _issue(doing: Doing, drawn: Drawn, act: Act) -> Done:
    done, papers = _watched(doing, act)
    g.drawn = {paper: drawn[paper] if paper in drawn else _draw(paper) for paper in papers}
    return done


def _watched(doing: Doing, act: Act) -> tuple[Done, list[InvoicePaper | SlipPaper]]:
    """What the act answers, and the papers that it issued."""
    last_paper, last_receipt = last_paper_id(act.session), last_receipt_id(act.session)
    done = doing(act)
    # What the act wrote before it is read back.
    act.session.flush()
    return done, _issued(act.session, last_paper, last_receipt)


def _issued(session: Session, last_paper: int, last_receipt: int) -> list[InvoicePaper | SlipPaper]:
    receipts = [receipt_of(number, content) for number, content in list_receipts_since(session, last_receipt)]
    return [*(paper_of(paper) for paper in list_papers_since(session, last_paper)), *receipts]


def _draw(paper: InvoicePaper | SlipPaper) -> bytes:
    try:
        return make_invoice_file(paper) if isinstance(paper, InvoicePaper) else make_slip_file(paper)
    except RuleBroken:
        raise
    except Exception as bug:  # whatever the drawing trips over, no number may be spent on it
        current_app.logger.exception("a paper could not be drawn: %s", paper.head.kind)
        raise RuleBroken(NOT_DRAWN) from bug


def drawn_or(paper: InvoicePaper | SlipPaper, make: Callable[[], bytes]) -> bytes:
    """The file that this request has drawn of a paper already; else it is made now."""
    drawn: Drawn = g.get("drawn", {})
    return drawn[paper] if paper in drawn else make()
