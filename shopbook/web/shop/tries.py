"""One try at a password or PIN: counted before it is looked at, slowed after several wrong ones, verified outside
any transaction. The count stands in a transaction of its own, so that a refusal cannot take it back."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from math import ceil
from threading import Lock
from zlib import crc32

from flask import current_app, g, request

from shopbook.outside.passwords import hash_token, is_password, is_pin
from shopbook.queries.shop.people import list_trials
from shopbook.services.shop.people import count_wrong_try, forget_wrong_tries
from shopbook.trade.letters import fold_name
from shopbook.trade.patience import place_of, wait_before_try
from shopbook.web.parts.act import now, writer
from shopbook.web.shop.known import known_browser

WRONG = "That is not right. Try again."
_TURNS = tuple(Lock() for _ in range(64))
"""Tries of one count are looked at one after another: eight right ones at once all pass, and of many wrong ones sent at
once only the first few are looked at. One process serves a book, so a lock of its own is enough."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a try was not let through: a sentence, the status of the page, and the seconds to wait."""

    sentence: str
    status: int
    seconds: int = 0

    @property
    def headers(self) -> dict[str, str]:
        return {"Retry-After": str(self.seconds)} if self.seconds else {}


def try_sign_in(name: str, kept: Mapping[int, str | None], typed: str) -> Refusal | int:
    """The id of the person whose password it is, of those who may mean themselves by the name (their kept hashes by
    id); nobody is told which of name and password was wrong.

    Wrong ones count by address and name, so that nobody elsewhere slows this person; a browser in which one of them
    signed in lately counts by itself. A name that nobody has is slowed as one that somebody has.
    """
    right: list[int] = []

    def is_right() -> bool:
        found = kept or {0: None}
        right.extend(person_id for person_id, hashed in found.items() if is_password(typed, hashed))
        return bool(right)

    return _try(_password_count(name, kept), is_right) or right[0]


def try_password(name: str, person_id: int, kept: str | None, typed: str) -> Refusal | None:
    """None when the password is the one kept for that person."""
    refused = try_sign_in(name, {person_id: kept}, typed)
    return refused if isinstance(refused, Refusal) else None


def try_pin(name: str, kept: str | None, typed: str) -> Refusal | None:
    """None when the PIN is the one kept for that name. Wrong ones count by device and name, apart from passwords."""
    secret = current_app.config["SECRET_KEY"]
    where = f"device:{g.device.id}" if g.device is not None else place_of(request.remote_addr or "")
    return _try(f"pin:{where}:{_plain(name)}", lambda: is_pin(typed, kept, secret))


def _password_count(name: str, kept: Mapping[int, str | None]) -> str:
    browser = known_browser(kept)
    if browser is not None:
        return f"known:{hash_token(browser)[:32]}:{_plain(name)}"
    return f"password:{place_of(request.remote_addr or '')}:{_plain(name)}"


def _plain(name: str) -> str:
    # By its hash: a password is sometimes typed where the name goes.
    return hash_token(fold_name(name))


def _try(whom: str, is_right: Callable[[], bool]) -> Refusal | None:
    with _TURNS[crc32(whom.encode()) % len(_TURNS)]:
        wait = _claim_try(whom)
        if wait:
            seconds = ceil(wait.total_seconds())
            return Refusal(f"Wait {seconds} second{'s' if seconds > 1 else ''}, then try again.", 429, seconds)
        if not is_right():
            return Refusal(WRONG, 422)
        with writer() as session:
            forget_wrong_tries(session, [whom])
    return None


def _claim_try(whom: str) -> timedelta:
    """Count a try as wrong until it proves right, unless it still has to wait."""
    with writer() as session:
        waits = [wait_before_try(trial.wrong, trial.last_at, now()) for trial in list_trials(session, [whom])]
        wait = max(waits, default=timedelta(0))
        if not wait:
            count_wrong_try(session, now(), [whom])
    return wait
