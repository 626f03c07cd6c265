"""What papers say of each bought part, where the country's papers say it: new, used, rebuilt, aftermarket."""

from collections.abc import Iterable

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import JobPart
from shopbook.trade.car.part_kinds import PartKind
from shopbook.trade.countries import Country


def read_part_marks(session: Session, part_ids: Iterable[int | None], country: Country) -> dict[int, str]:
    """The word for each of these parts, by its id; none for one whose source was not chosen, and none for colour.

    At most one statement, and none where the country's papers say nothing of it.
    """
    wanted = {part_id for part_id in part_ids if part_id is not None}
    if not country.part_marks or not wanted:
        return {}
    asked = select(JobPart.id, JobPart.source).where(JobPart.id.in_(wanted), JobPart.kind == PartKind.PART)
    return {part_id: country.part_marks[source] for part_id, source in session.execute(asked) if source}
