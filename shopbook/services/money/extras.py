"""Work found on the floor is told to the desk, priced or not; the desk prices it and asks for the yes."""

from collections.abc import Collection, Mapping
from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.money import Quote
from shopbook.services.money.quotes import draft_extra
from shopbook.trade.permissions import Actor


def tell_extra(
    session: Session,
    actor: Actor,
    now: datetime,
    job_id: int,
    *,
    title: str,
    below: str = "",
    minutes: Mapping[str, int] | None = None,
    stage_ids: Collection[int] = (),
    panel: str = "",
) -> Quote:
    """Tell the desk what was found, with the man-minutes by skill that it takes where somebody can say them.

    Unlike an extra of the desk's it may come without anything to price, and before the quote itself has its yes: what
    a hand sees while stripping is not held back for that. It is not given to the owner before it has a price.
    """
    return draft_extra(
        session,
        actor,
        now,
        job_id,
        title=title,
        below=below,
        minutes=minutes,
        stage_ids=stage_ids,
        panel=panel,
        is_only_told=True,
    )
