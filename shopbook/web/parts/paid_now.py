"""A quick estimate that is paid at once: the part that the pages about money hang on the quick estimate's page."""

from collections.abc import Callable
from typing import Protocol

from flask import request

from shopbook.services.act import Act
from shopbook.trade.permissions import Actor
from shopbook.web.parts.act import Answer, Doing, Done, Prepared
from shopbook.web.parts.rows import Quote


class PaidNow(Protocol):
    """What is asked and done with the press "Done and paid"; `template` draws it from this as `paid`."""

    template: str

    def drawn(self, doing: Doing) -> Doing | Prepared:
        """The act, with its papers drawn before their numbers are where that press was made."""

    def finish(self, act: Act, quote: Quote) -> Done:
        """The job of that estimate done, billed, paid and gone. RuleBroken beside a field of its own."""

    def kept(self, answer: Answer) -> Answer:
        """The same answer, once the files of the papers are kept."""


_hung: dict[str, Callable[[], PaidNow]] = {}


def hang_paid_now(make: Callable[[], PaidNow]) -> Callable[[], PaidNow]:
    """Hang it on the page of the quick estimate; it is made anew for each request."""
    _hung["quick estimate"] = make
    return make


def paid_now() -> PaidNow:
    """The part for this request."""
    return _hung["quick estimate"]()


def is_paid_now(actor: Actor) -> bool:
    """Whether the press does the job at once; whoever takes no money saves the estimate only."""
    return request.form.get("then") == "paid" and actor.may("money", "change")
