"""The key of an act: claimed by the first press, kept with where it led, found again by the second."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, select, update
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from shopbook.models.shop import ActKey, ActRow
from shopbook.trade.errors import Conflict


@dataclass(frozen=True, slots=True)
class Done:
    """Where an act leads, and the sentence that says what it did."""

    url: str
    said: str = ""
    undo_key: str = ""
    """The key under which it can be undone; empty where it cannot."""


def claim_act(session: Session, key: str, act: str, person_id: int | None, now: datetime) -> Done | None:
    """Claim a key for this act; None when it is ours, else where the first press led.

    Insert first and look afterwards: two presses at once cannot both be first. Conflict when the key was claimed for
    another act or by somebody else: this press has not been done, and their result is theirs.
    """
    insert = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    claimed = session.execute(
        insert(ActKey)
        .values(key=key, act=act, person_id=person_id, claimed_at=now, result=None)
        .on_conflict_do_nothing()
        .returning(ActKey.key)
    ).scalar()
    if claimed is not None:
        return None
    earlier = session.get_one(ActKey, key)
    if (earlier.act, earlier.person_id) != (act, person_id):
        raise Conflict("Nothing was done: this page was already used. Reload it and try again.")
    kept = earlier.result
    return Done(kept["url"], kept["said"], key if kept.get("can_undo") else "")


def keep_result(session: Session, key: str, done: Done, *, pressed_on: str = "", undoes: str | None = None) -> None:
    """Keep with a claimed key where its act led, on which page it was pressed, and which act it undid."""
    result = {"url": done.url, "said": done.said, "can_undo": bool(done.undo_key), "pressed_on": pressed_on}
    session.execute(update(ActKey).where(ActKey.key == key).values(result=result, undoes=undoes))


def forget_old_acts(session: Session, before: datetime) -> int:
    """Forget the keys of acts claimed before a moment: their forms are long closed. Answers how many went."""
    forget_rows(session, before)
    gone = session.scalars(delete(ActKey).where(ActKey.claimed_at < before).returning(ActKey.key)).all()
    return len(gone)


def forget_rows(session: Session, before: datetime) -> None:
    """Forget what acts that were claimed before a moment changed: they cannot be undone any more."""
    old = select(ActKey.key).where(ActKey.claimed_at < before)
    session.execute(delete(ActRow).where(ActRow.act_key.in_(old)), execution_options={"synchronize_session": False})


def forget_all_rows(session: Session) -> None:
    """Forget what every act changed, so that nothing of what is being erased stays there."""
    session.execute(delete(ActRow), execution_options={"synchronize_session": False})
