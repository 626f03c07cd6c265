"""The files that the book says it keeps: pictures, thumbnails and papers, each by its hash."""

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Picture
from shopbook.models.shop import Paper


@dataclass(frozen=True, slots=True)
class KeptContent:
    """A file that the book says it keeps: in which folder ("pictures" or "papers"), under which hash."""

    folder: str
    sha256: str


def list_kept_contents(session: Session) -> list[KeptContent]:
    """Every picture, thumbnail and paper of the book, each hash once."""
    pictures = session.execute(select(Picture.sha256, Picture.thumbnail_sha256))
    hashes = {sha256 for whole, small in pictures for sha256 in (whole, small) if sha256}
    papers = set(session.scalars(select(Paper.sha256)))
    return [KeptContent("pictures", sha256) for sha256 in sorted(hashes)] + [
        KeptContent("papers", sha256) for sha256 in sorted(papers)
    ]
