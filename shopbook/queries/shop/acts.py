"""What is kept of an act: which press it was, and where it led."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from shopbook.models.shop import ActKey


@dataclass(frozen=True, slots=True)
class KnownAct:
    """One act: the name of its press, and the page that it led to."""

    name: str
    led_to: str


def find_act(session: Session, key: str) -> KnownAct | None:
    """An act by its key, or None."""
    act = session.get(ActKey, key)
    return KnownAct(act.act, act.result.get("url", "")) if act is not None else None
