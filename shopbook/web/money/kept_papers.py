"""Issued papers as files: made from frozen data after the act, kept under their hash, recorded once."""

from collections.abc import Callable

from flask import Response

from shopbook.outside.files import keep_bytes, read_kept
from shopbook.queries.shop.book import list_papers
from shopbook.services.shop.papers import record_paper
from shopbook.web.money.blueprint import shop_config
from shopbook.web.parts.act import now, reader, writer


def keep_paper(kind: str, subject: str, subject_id: int, file_name: str, make: Callable[[], bytes]) -> bytes:
    """The kept file of that paper; made, synced and then recorded if nobody has yet.

    NotFound when it was kept and is gone from the disk; RuleBroken when the disk is full.
    """
    folder = shop_config().papers_folder
    known = [paper for paper in list_papers(reader(), subject, subject_id) if paper.kind == kind]
    if known:
        return read_kept(folder, known[-1].sha256)
    body = make()
    kept = keep_bytes(folder, body)
    with writer() as session:
        paper = record_paper(
            session,
            now(),
            kind=kind,
            subject=subject,
            subject_id=subject_id,
            sha256=kept.sha256,
            size_bytes=kept.size_bytes,
            file_name=file_name,
        )
        sha256 = paper.sha256
    return body if sha256 == kept.sha256 else read_kept(folder, sha256)


def send_pdf(body: bytes, file_name: str) -> Response:
    """A PDF that the browser shows, with a name to save it under."""
    answer = Response(body, mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="{file_name}"'
    return answer
