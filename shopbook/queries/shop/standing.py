"""Whether the book's tables stand as this program wants them."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from shopbook.models.schema import newest_revision
from shopbook.models.session import schema_revision


@dataclass(frozen=True, slots=True)
class SchemaStanding:
    """The migration that the book stands at (None: an empty database) and the one that the program wants."""

    stands_at: str | None
    wanted: str

    @property
    def is_ready(self) -> bool:
        """Whether they are the same."""
        return self.stands_at == self.wanted


def get_schema_standing(session: Session) -> SchemaStanding:
    """The book's migration beside the one this program needs."""
    return SchemaStanding(schema_revision(session), newest_revision())
