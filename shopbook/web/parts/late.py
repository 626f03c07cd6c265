"""A press that a phone keeps until it has reached the book: whose it is, when it counts, and what the phone is told.

press.js sends such a press as the form of its page with fields of its own (`press_…`) and asks for JSON; a plain form
has none of it and counts when it arrives. Only a handler marked with `may_wait` takes them.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from typing import TypeVar

from flask import Response, current_app, g, jsonify, request
from itsdangerous import BadData, URLSafeSerializer
from sqlalchemy.orm import Session

from shopbook.queries.shop.book import get_zone
from shopbook.queries.shop.days import find_closed_through
from shopbook.services.act import Act
from shopbook.services.shop.late_presses import log_late_press
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.floor.late_press import LATE_FROM, SET_BY_HAND_FROM, TOLD_BY_HAND_FROM, counts_from

Handler = TypeVar("Handler", bound=Callable[..., object])
Words = Mapping[str, str]
NOT_OURS = "This press was changed on its way. Go back, reload the page and press again."
TOO_OLD = "This press is too old to send. Enter it on the day sheet, then discard it here."
BEFORE_PAGE = "Enter a time after the page was opened, not later than now."


@dataclass(frozen=True, slots=True)
class Concern:
    """What a press is about, as the book has it now.

    `words` say each thing in a sentence, by a name that the page uses too; `touched_at` is when the person's own clock
    was last written, which a press never goes behind; `joined_at` when somebody else began on the same: a press from
    before that counts from its arrival, so that nothing of their time is taken away.
    """

    words: Words = field(default_factory=dict)
    about: str = ""
    touched_at: datetime | None = None
    joined_at: datetime | None = None
    job_id: int | None = None


NOTHING = Concern()
Stands = Callable[..., Concern]


@dataclass(frozen=True, slots=True)
class MayWait:
    """A press that may wait on a phone: what it is called, and how that which it is about is read from the book."""

    deed: str
    stands: Stands


class HeldBack(Conflict):
    """The press stays on the phone; `code` says for what it waits there, `told` what the phone shows."""

    def __init__(self, code: str, sentence: str, **told: object) -> None:
        super().__init__(sentence)
        self.code, self.told = code, told

    def answer(self) -> Response:
        return _tell(409, code=self.code, sentence=_said(self.sentence), **self.told)


def may_wait(deed: str, stands: Stands = lambda **_: NOTHING) -> Callable[[Handler], Handler]:
    """Mark a handler whose press may reach it late; `stands` takes what its address names."""

    def mark(handler: Handler) -> Handler:
        handler.may_wait = MayWait(deed, stands)  # type: ignore[attr-defined]
        return handler

    return mark


def _marked() -> MayWait | None:
    handler = current_app.view_functions.get(request.endpoint or "")
    found: MayWait | None = getattr(handler, "may_wait", None)
    return found


def is_told() -> bool:
    """Whether this press was sent by press.js, which wants to be told what came of it."""
    return request.method == "POST" and request.headers.get("Accept") == "application/json"


def stays_on_page() -> bool:
    """Whether the page that sent the press says itself what was done, so that no later page has to."""
    return is_told() and request.form.get("press_stays") == "yes"


def stamp_page(person_id: int, moment: datetime) -> str:
    """For whom a page is drawn, and when, signed: no press on it was made earlier or by somebody else."""
    return str(_signer().dumps([person_id, int(moment.timestamp())]))


def read_stamp(stamp: str) -> tuple[int, datetime] | None:
    """Whom a page was given to, and when; None for what we did not sign."""
    try:
        person_id, seconds = _signer().loads(stamp)
    except BadData:
        return None
    return int(person_id), datetime.fromtimestamp(seconds, UTC)


def _signer() -> URLSafeSerializer:
    return URLSafeSerializer(current_app.config["SECRET_KEY"], salt="page given")


def hold_back_foreign() -> Response | None:
    """Whoever is signed in now cannot send what somebody else pressed: it stays on the phone for that person."""
    if not is_told() or "press_given" not in request.form:
        return None
    given = read_stamp(request.form["press_given"])
    if given is None:
        return tell_refused([NOT_OURS], 422)
    if given[0] != g.actor.person_id:
        return HeldBack("person", "Somebody else pressed this.").answer()
    return None


@dataclass(frozen=True, slots=True)
class LatePress:
    """The press of this request, as it was made on a phone and as what it is about stands now."""

    marked: MayWait
    given_at: datetime
    arrived_at: datetime
    waited: timedelta
    stands: Concern

    @property
    def is_late(self) -> bool:
        """Whether it waited long enough to be said."""
        return self.waited >= LATE_FROM

    def counts(self, session: Session) -> datetime:
        """The moment from which it counts; HeldBack where a person has to look first."""
        if not self.is_late:
            return self.arrived_at
        if self.arrived_at - self.given_at >= TOLD_BY_HAND_FROM:
            raise RuleBroken(TOO_OLD)
        self._refuse_changed()
        joined_at = self.stands.joined_at
        is_joined = joined_at is not None and joined_at > self.arrived_at - self.waited
        bounds = [self.given_at, _first_open(session), self.stands.touched_at, self.arrived_at if is_joined else None]
        not_before = [moment for moment in bounds if moment is not None]
        if self.waited > SET_BY_HAND_FROM:
            return self._set_by_hand(session, not_before)
        return counts_from(self.arrived_at, self.waited, not_before)

    def _refuse_changed(self) -> None:
        was, now = _words_sent(), self.stands.words
        changed = [name for name in was if name in now and was[name] != now[name]]
        if changed and request.form.get("press_sure") != "yes":
            sentence = "Something changed since this was pressed."
            raise HeldBack(
                "changed", sentence, was=[was[name] for name in changed], now=[now[name] for name in changed]
            )

    def _set_by_hand(self, session: Session, not_before: list[datetime]) -> datetime:
        """Past twelve hours the phone's time is shown, and a person sets it, within what is possible."""
        try:
            typed = datetime.fromisoformat(request.form.get("press_at", ""))
        except ValueError:
            raise HeldBack("old", "This waited for more than 12 hours. Check when it was pressed.") from None
        moment = typed.replace(tzinfo=get_zone(session)).astimezone(UTC)
        # The field has whole minutes: the minute in which the page was given counts.
        if not max(not_before) - timedelta(minutes=1) < moment <= self.arrived_at:
            raise HeldBack("old", BEFORE_PAGE)
        return max(moment, *not_before)

    def note(self, act: Act) -> None:
        """Write into the log that it came late."""
        if self.is_late:
            what = ", ".join(part for part in (self.marked.deed, self.stands.about) if part)
            is_set = self.waited > SET_BY_HAND_FROM
            log_late_press(act, self.arrived_at, what, job_id=self.stands.job_id, is_set=is_set)


def find_late_press(arrived_at: datetime) -> LatePress | None:
    """The press of this request; None for a plain form, and where a press is not taken late."""
    marked, given = _marked(), read_stamp(request.form.get("press_given", ""))
    if not is_told() or marked is None or given is None:
        return None
    sent = request.form.get("press_waited", "")
    waited = timedelta(milliseconds=int(sent)) if sent.isdecimal() and len(sent) < 12 else timedelta(0)
    stands = marked.stands(**(request.view_args or {})) if waited >= LATE_FROM else NOTHING
    return LatePress(marked, given[1], arrived_at, waited, stands)


def _words_sent() -> dict[str, str]:
    """What the page said when it was pressed; nothing for what is no such text."""
    try:
        sent = json.loads(request.form.get("press_was", "") or "{}")
    except ValueError:
        return {}
    return {str(name): str(words) for name, words in sent.items()} if isinstance(sent, dict) else {}


def _first_open(session: Session) -> datetime | None:
    """The first moment that lies in no closed month."""
    through: date | None = find_closed_through(session)
    if through is None:
        return None
    return datetime.combine(through + timedelta(days=1), time.min, get_zone(session)).astimezone(UTC)


def tell_done(url: str, said: str) -> Response:
    """What was done, where it leads, and how what it was about stands now."""
    marked = _marked()
    words = dict(marked.stands(**(request.view_args or {})).words) if marked else {}
    return _tell(200, url=url, said=_said(said), now=words)


def tell_refused(sentences: list[str], status: int) -> Response:
    """A refusal: nothing was done, and the sentences say what to do."""
    return _tell(status, code="refused", sentence=" ".join(_said(each) for each in sentences))


def tell_code(code: str, status: int, **told: object) -> Response:
    """What stands in the way of the press itself: an old token, or nobody signed in."""
    return _tell(status, code=code, **told)


def _tell(status: int, **told: object) -> Response:
    answer = jsonify(told)
    answer.status_code = status
    return answer


def _said(sentence: str) -> str:
    words: str = current_app.jinja_env.filters["said"](sentence)
    return words
