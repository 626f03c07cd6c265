"""Files of issued papers: made and kept at once when a press issued them, and read again as they were kept."""

from flask import flash
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response

from shopbook.documents.head import refuse_paper
from shopbook.documents.invoice import make_invoice_file
from shopbook.queries.money.invoices import get_invoice, list_job_invoices
from shopbook.queries.shop.book import list_papers
from shopbook.trade.errors import RuleBroken
from shopbook.web.money.drawing import drawn_or
from shopbook.web.money.invoice_view import KINDS, paper_of
from shopbook.web.money.kept_papers import keep_paper
from shopbook.web.parts.act import Answer, reader


def with_papers(answer: Answer, job_id: int) -> Answer:
    """After an act that went through, every paper of the job that has no file yet gets one, as things stand now.

    One press may issue several: an invoice and the credit note for a deposit that was too much.
    """
    if isinstance(answer, Response):
        for paper in list_job_invoices(reader(), job_id):
            if not list_papers(reader(), "invoice", paper.id):
                _keep_at_once(paper.id)
    return answer


def refuse_unkept(session: Session, job_id: int) -> None:
    """RuleBroken, before the commit, for the job's newest paper if its file is still to be made and cannot be."""
    for paper in list_job_invoices(session, job_id)[-1:]:
        if not list_papers(session, "invoice", paper.id):
            refuse_paper(paper_of(paper))


def _keep_at_once(invoice_id: int) -> None:
    """The act is done whether or not the file is made; if that fails, the next page says so."""
    try:
        keep_invoice_file(invoice_id)
    except RuleBroken as broken:
        flash(f"It is issued, but the PDF is not saved yet. {broken.sentence}", "late")


def keep_invoice_file(invoice_id: int) -> tuple[bytes, str]:
    """The kept file of an issued paper and its name."""
    found = get_invoice(reader(), invoice_id)
    name = f"{KINDS[found.kind].lower().replace(' ', '-')}-{found.number}.pdf"
    paper = paper_of(found)
    return keep_paper(
        found.kind, "invoice", found.id, name, lambda: drawn_or(paper, lambda: make_invoice_file(paper))
    ), name
