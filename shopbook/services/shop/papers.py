"""Issued papers are recorded once their file lies on the disk."""

from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.shop import Paper
from shopbook.queries.shop.days import day_of


def record_paper(
    session: Session,
    now: datetime,
    *,
    kind: str,
    subject: str,
    subject_id: int,
    sha256: str,
    size_bytes: int,
    file_name: str,
) -> Paper:
    """One paper as it was issued; its file is already kept under that hash."""
    paper = Paper(
        kind=kind,
        subject=subject,
        subject_id=subject_id,
        sha256=sha256,
        size_bytes=size_bytes,
        file_name=file_name[:200],
        at=now,
        on=day_of(session, now),
    )
    session.add(paper)
    session.flush()
    return paper
