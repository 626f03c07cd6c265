"""Every paper of some jobs with its lines, read at once for whatever is summed from them."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import Invoice, InvoiceLine
from shopbook.trade.billing import LineKind
from shopbook.trade.results.papers import BilledLine, BilledPaper


def read_papers(session: Session, jobs: Collection[int], last: date) -> dict[int, list[BilledPaper]]:
    """The papers of these jobs up to a day in the order of their issue, by job id; one statement, without jobs none."""
    if not jobs:
        return {}
    asked = (
        select(
            *(Invoice.id, Invoice.job_id, Invoice.kind, Invoice.issued_on, Invoice.issued_at, Invoice.gross_minor),
            *(Invoice.credits_id, Invoice.corrects_id),
            *(InvoiceLine.kind, InvoiceLine.net_minor, InvoiceLine.item_key, InvoiceLine.minutes),
        )
        .outerjoin(InvoiceLine, InvoiceLine.invoice_id == Invoice.id)
        .where(Invoice.job_id.in_(jobs), Invoice.issued_on <= last)
        .order_by(Invoice.id, InvoiceLine.id)
    )
    papers: dict[int, BilledPaper] = {}
    lines: dict[int, list[BilledLine]] = {}
    for *paper, kind, net_minor, item, minutes in session.execute(asked):
        if paper[0] not in papers:
            papers[paper[0]], lines[paper[0]] = BilledPaper(*paper), []
        if kind is not None:
            lines[paper[0]].append(BilledLine(LineKind(kind), net_minor, item, minutes))
    found: dict[int, list[BilledPaper]] = {}
    for paper_id, each in papers.items():
        found.setdefault(each.job_id, []).append(replace(each, lines=tuple(lines[paper_id])))
    return found
