"""Presses without fields of their own: each calls one service with what its address names, and says a sentence."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from flask import Blueprint
from werkzeug.wrappers import Response

from shopbook.web.parts.act import act_by_press, does
from shopbook.web.parts.guards import needs

Result = TypeVar("Result")


@dataclass(frozen=True, slots=True)
class Presses:
    """The presses on one kind of thing, for whoever may by the table of permissions.

    `here` is the page of the thing: a refusal is said there, and a press leads back to it unless it says otherwise. It
    is asked with what the address names, as each service is behind its act: by the same names.
    """

    blueprint: Blueprint
    area: str
    verb: str
    here: Callable[..., str]

    def add(
        self,
        rule: str,
        endpoint: str,
        service: Callable[..., Result],
        said: str | Callable[[Result], str],
        leads_to: Callable[..., str] | None = None,
        *,
        waits: Callable[[Callable[..., Response]], Callable[..., Response]] = lambda handler: handler,
    ) -> None:
        """Hang a press on its address; `said` is the sentence, or makes it of what the service answered.

        `waits` is `may_wait(…)` for a press that may reach the book late.
        """

        def press(**keys: int) -> Response:
            here, there = self.here(**keys), (leads_to or self.here)(**keys)
            return act_by_press(does(lambda act: service(act, **keys), there, said), here)

        self.blueprint.add_url_rule(rule, endpoint, needs(self.area, self.verb)(waits(press)), methods=["POST"])
