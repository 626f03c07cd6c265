"""An issued paper's file is recorded once: whoever is first records it, everybody after reads the same."""

from datetime import datetime

from sqlalchemy import select
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
    """The paper of that kind for that subject: the one recorded before, else this one, its file already on the disk."""
    found = session.scalars(
        select(Paper)
        .where(Paper.kind == kind, Paper.subject == subject, Paper.subject_id == subject_id)
        .order_by(Paper.id)
    ).first()
    if found is not None:
        return found
    paper = Paper(
        kind=kind,
        subject=subject,
        subject_id=subject_id,
        sha256=sha256,
        size_bytes=size_bytes,
        file_name=file_name,
        at=now,
        on=day_of(session, now),
    )
    session.add(paper)
    session.flush()
    return paper
