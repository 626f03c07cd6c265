"""What is written of a press that waited on a phone: when it was made and arrived, or that it was thrown away."""

from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.queries.shop.acts import find_act
from shopbook.queries.shop.book import country_of, get_book
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.log import LATE_PRESS
from shopbook.queries.shop.people import get_actor
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.services.shop.acts import Done, claim_act, keep_result
from shopbook.trade.errors import Conflict, NotAllowed
from shopbook.trade.measures.days import format_clock, format_day
from shopbook.trade.permissions import Actor, Role


def log_late_press(
    act: Act, arrived_at: datetime, what: str, *, job_id: int | None = None, is_set: bool = False
) -> str:
    """One line of the log on the day of the press: "Pressed 9:02 am, arrived 9:41 am: Start, 1042 Prime".

    `act.moment` is the moment from which the press counts; `is_set` when a person set it. Answers the sentence.
    """
    pressed, arrived = (_said(act.session, moment, arrived_at) for moment in (act.moment, arrived_at))
    words = f"Pressed {pressed}{' as set by hand' if is_set else ''}, arrived {arrived}: {what}"
    write_log(act, "log_late_press", LATE_PRESS, act.actor.person_id, words, job_id=job_id)
    return words


def discard_press(act: Act, key: str, whose_id: int, pressed_at: datetime, what: str) -> None:
    """Throw a kept press away, so that it can never be done: its key is taken.

    NotAllowed for anybody but the person who made it and the owner; Conflict when it had been done already.
    """
    if act.actor.person_id != whose_id and not _is_owner(act.session, act.actor):
        raise NotAllowed("Only the person who pressed it, or the shop’s owner, can discard it.")
    if find_act(act.session, key) is not None:
        raise Conflict("That press had reached the book before. Look at the page, it may be done.")
    claim_act(act.session, key, "discard_press", whose_id, act.moment)
    keep_result(act.session, key, Done("", "Discarded."))
    words = f"Discarded a press of {_said(act.session, pressed_at, act.moment)} that had waited on a phone: {what}"
    write_log(act, "discard_press", LATE_PRESS, whose_id, words)


def _is_owner(session: Session, actor: Actor) -> bool:
    """By the book: a device that stays signed in gives its user the floor's rights alone."""
    return actor.person_id is not None and Role.OWNER in get_actor(session, actor.person_id).roles


def _said(session: Session, moment: datetime, beside: datetime) -> str:
    """The time of day at the shop; with its day where that is not the day of the moment beside it."""
    book = get_book(session)
    country = country_of(book)
    clock = format_clock(moment, book.zone, country.clock_form)
    on = day_of(session, moment)
    return clock if on == day_of(session, beside) else f"{format_day(on, country.date_form)}, {clock}"
