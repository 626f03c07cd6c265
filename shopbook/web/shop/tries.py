"""One try at a password or PIN: counted before it is looked at, slowed after several wrong ones, verified outside
any transaction. The count stands in a transaction of its own, so that a refusal cannot take it back."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from math import ceil

from flask import current_app, g, request

from shopbook.outside.passwords import hash_token, is_password, is_pin
from shopbook.queries.shop.people import list_trials
from shopbook.services.shop.people import count_wrong_try, forget_wrong_tries
from shopbook.trade.patience import wait_before_try
from shopbook.web.parts.act import now, writer

WRONG = "That is not right. Try again."


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a try was not let through: a sentence, the status of the page, and the seconds to wait."""

    sentence: str
    status: int
    seconds: int = 0

    @property
    def headers(self) -> dict[str, str]:
        return {"Retry-After": str(self.seconds)} if self.seconds else {}


def try_password(name: str, kept: str | None, typed: str) -> Refusal | None:
    """None when the password is the one kept for that name; nobody is told which of name and password was wrong.

    A name that nobody has (nothing is kept for it) is slowed as one that somebody has.
    """
    return _try(name, lambda: is_password(typed, kept))


def try_pin(name: str, kept: str | None, typed: str) -> Refusal | None:
    """None when the PIN is the one kept for that name."""
    secret = current_app.config["SECRET_KEY"]
    return _try(name, lambda: is_pin(typed, kept, secret))


def _try(name: str, is_right: Callable[[], bool]) -> Refusal | None:
    whom = _whom(name)
    wait = _claim_try(whom)
    if wait:
        seconds = ceil(wait.total_seconds())
        return Refusal(f"Wait {seconds} second{'s' if seconds > 1 else ''}, then try again.", 429, seconds)
    if not is_right():
        return Refusal(WRONG, 422)
    with writer() as session:
        forget_wrong_tries(session, whom)
    return None


def _claim_try(whom: list[str]) -> timedelta:
    """Count a try as wrong until it proves right, unless it still has to wait, so two at once cannot both pass."""
    with writer() as session:
        waits = [wait_before_try(trial.wrong, trial.last_at, now()) for trial in list_trials(session, whom)]
        wait = max(waits, default=timedelta(0))
        if not wait:
            count_wrong_try(session, now(), whom)
    return wait


def _whom(name: str) -> list[str]:
    # By its hash: a password is sometimes typed where the name goes.
    whom = [f"address:{request.remote_addr}", f"name:{hash_token(name.strip())}"]
    if g.device is not None:
        whom.append(f"device:{g.device.id}")
    return whom
