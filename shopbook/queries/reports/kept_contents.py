"""Files that the book says it keeps: pictures, thumbnails and papers, each by its hash, with the row that names it."""

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Text, select, type_coerce
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Picture
from shopbook.models.shop import Paper


@dataclass(frozen=True, slots=True)
class KeptContent:
    """A file that the book says it keeps: in which folder ("pictures" or "papers"), under which hash, and the first
    row that names it. `size_bytes` is None where the row does not say it."""

    folder: str
    sha256: str
    table: str
    key: str
    size_bytes: int | None = None


def list_kept_contents(session: Session) -> list[KeptContent]:
    """Every picture, thumbnail and paper of the book, each hash once in its folder."""
    found: dict[tuple[str, str], KeptContent] = {}
    for content in _named(session):
        found.setdefault((content.folder, content.sha256), content)
    return list(found.values())


def _named(session: Session) -> Iterator[KeptContent]:
    asked = select(Picture.id, Picture.sha256, Picture.thumbnail_sha256).order_by(Picture.id)
    for key, sha256, thumbnail_sha256 in session.execute(asked):
        for named in filter(None, (sha256, thumbnail_sha256)):
            yield KeptContent("pictures", named, "picture", str(key))
    certificates = select(Customer.id, Customer.exemption).where(
        type_coerce(Customer.exemption, Text).like('%"picture"%')
    )
    for key, exemption in session.execute(certificates.order_by(Customer.id)):
        for name in ("picture", "thumbnail"):
            yield KeptContent("pictures", exemption[name], "customer", str(key))
    papers = select(Paper.id, Paper.sha256, Paper.size_bytes).order_by(Paper.id)
    for key, sha256, size_bytes in session.execute(papers):
        yield KeptContent("papers", sha256, "paper", str(key), size_bytes)
