"""Links that something beside the seal remembers: closings in the book, backups beside it. They hold its end."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import MonthClose
from shopbook.models.seal.chain import Seal
from shopbook.queries.reports.sealing.links import say_at
from shopbook.trade.sealing import RESTORED, KeptSeal


@dataclass(frozen=True, slots=True)
class Remembered:
    """Who remembers a link, since when, and which."""

    whose: str
    at: datetime
    kept: KeptSeal


def remembered_by_closings(session: Session) -> list[Remembered]:
    """What closings kept, oldest first."""
    closes = session.scalars(select(MonthClose).where(MonthClose.seal_number.is_not(None)).order_by(MonthClose.id))
    return [
        Remembered(f"closing {close.month}, version {close.version},", close.at, KeptSeal(number, sha256))
        for close in closes
        if (number := close.seal_number) is not None and (sha256 := close.seal_sha256) is not None
    ]


def compare_remembered(session: Session, remembered: Iterable[Remembered]) -> tuple[list[tuple[int, str]], list[str]]:
    """Faults, each with the number of its link, and what is none: a backup of work that was given up when an earlier
    backup was restored."""
    there = {number: digest for number, digest in session.execute(select(Seal.number, Seal.sha256))}
    asked = select(Seal.number, Seal.at, Seal.note).where(Seal.note.startswith(RESTORED)).order_by(Seal.number)
    restores = session.execute(asked).all()
    faults: list[tuple[int, str]] = []
    notes: list[str] = []
    for one in remembered:
        if there.get(one.kept.number) == one.kept.sha256:
            continue
        later = next(((at, note) for number, at, note in restores if number <= one.kept.number and one.at <= at), None)
        if later is not None:
            notes.append(
                f"{one.whose} of {say_at(one.at)} was given up at the restore of {say_at(later[0])}: {later[1]}"
            )
        else:
            faults.append((one.kept.number, _fault(one, max(there, default=0))))
    return faults, notes


def _fault(one: Remembered, last: int) -> str:
    if one.kept.number > last:
        return f"The seal ends at link {last}, but {one.whose} keeps link {one.kept.number}: its end was cut off"
    return f"Link {one.kept.number} is not the one that {one.whose} keeps: the seal was made anew"
