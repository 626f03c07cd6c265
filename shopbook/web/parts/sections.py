"""What other areas add to the page of a job: each hangs on its own sections, and the page draws whatever is there."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from sqlalchemy.orm import Session

Provider = Callable[[Session, Any], Mapping[str, Any] | None]


class Where(StrEnum):
    """Where on the page of a job a section stands."""

    ACTS = "acts"
    MAIN = "main"
    SIDE = "side"


@dataclass(frozen=True, slots=True)
class Section:
    """One section as it is drawn: its partial finds its values in `section.values`."""

    template: str
    where: Where
    anchor: str
    title: str
    values: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Offer:
    provider: Provider
    template: str
    where: Where
    order: int
    anchor: str
    title: str


_OFFERS: dict[str, _Offer] = {}


def job_section(
    template: str, where: Where = Where.SIDE, *, order: int, anchor: str = "", title: str = ""
) -> Callable[[Provider], Provider]:
    """Hang a section on the page of every job: the function is asked with the session and the job (car and owner

    loaded) and answers the partial's values, or None where it has nothing to show. `anchor` and `title` put it into
    the page's own list of places. Smaller orders stand first.
    """

    def hang(provider: Provider) -> Provider:
        _OFFERS[template] = _Offer(provider, template, where, order, anchor, title)
        return provider

    return hang


def sections_of(session: Session, job: Any) -> list[Section]:
    """Every section that has something to show for this job, in order."""
    found = []
    for offer in sorted(_OFFERS.values(), key=lambda each: (each.order, each.template)):
        values = offer.provider(session, job)
        if values is not None:
            found.append(Section(offer.template, offer.where, offer.anchor, offer.title, values))
    return found
