"""What other areas hang on the page of a job, a customer or a car; the page draws whatever is there."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from sqlalchemy.orm import Session

from shopbook.queries.money.job_page import JobPage
from shopbook.web.parts.rows import Customer, Vehicle

Provider = Callable[[Session, Any], Mapping[str, object] | None]  # each page hands on what it is about itself


class Page(StrEnum):
    """The pages that sections are hung on, by what they are about."""

    JOB = "job"
    CUSTOMER = "customer"
    CAR = "car"


class Where(StrEnum):
    """Where on a page a section stands."""

    ACTS = "acts"
    LEAD = "lead"
    """Beside what comes next."""
    MAIN = "main"
    SIDE = "side"


@dataclass(frozen=True, slots=True)
class HungSection:
    """One section as it is drawn: its partial finds its values in `section.values`."""

    template: str
    where: Where
    values: Mapping[str, object] = field(default_factory=dict)
    strip: str = ""
    """The partial of its cells in the strip of the page, drawn from the same values."""


@dataclass(frozen=True, slots=True)
class _Offer:
    provider: Provider
    template: str
    where: Where
    order: int
    strip: str = ""


_OFFERS: dict[tuple[Page, str], _Offer] = {}


def job_section(
    template: str, where: Where = Where.SIDE, *, order: int, strip: str = ""
) -> Callable[[Provider], Provider]:
    """Hang a section on the page of every job; smaller orders stand first.

    The function is asked with the session and what the page was loaded with (`JobPage`), and answers the partial's
    values, or None where it has nothing to show. `strip` is its partial for the strip of figures on top of the page.
    """

    def hang(provider: Provider) -> Provider:
        _OFFERS[Page.JOB, template] = _Offer(provider, template, where, order, strip)
        return provider

    return hang


def page_section(page: Page, template: str, *, order: int) -> Callable[[Provider], Provider]:
    """Hang a section on the page of every customer or car: the function is asked with the session and the subject."""

    def hang(provider: Provider) -> Provider:
        _OFFERS[page, template] = _Offer(provider, template, Where.MAIN, order)
        return provider

    return hang


def sections_of(session: Session, subject: JobPage | Customer | Vehicle, page: Page = Page.JOB) -> list[HungSection]:
    """Every section that has something to show for this job, customer or car, in order."""
    found = []
    offers = [offer for (of, _), offer in _OFFERS.items() if of is page]
    for offer in sorted(offers, key=lambda each: (each.order, each.template)):
        values = offer.provider(session, subject)
        if values is not None:
            found.append(HungSection(offer.template, offer.where, values, offer.strip))
    return found
