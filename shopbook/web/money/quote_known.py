"""What of the book bears on one quote, read once for its page and its paper."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from shopbook.documents.quote import CoatsShown
from shopbook.queries.jobs.catalogue import catalogue_on
from shopbook.queries.jobs.coats import job_coats
from shopbook.queries.jobs.damage import list_damages, list_pictures
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.money.agreements import has_other_payer, list_agreements, taken_groups
from shopbook.queries.money.payers import NamedShare
from shopbook.queries.money.quotes import get_quote, priced_groups, sum_of_quote
from shopbook.queries.money.whose import shares_of_quote
from shopbook.queries.shop.book import get_book
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.rates import settings_on
from shopbook.services.money.quotes import valid_until
from shopbook.trade.agreeing import Party
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.groups import group_key
from shopbook.trade.planning.shapes import Coat
from shopbook.trade.pricing import QuoteSum
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import now
from shopbook.web.parts.frame import country


@dataclass(frozen=True, slots=True)
class Known:
    """One quote with its job, plan, damage, pictures, yeses and sums. `given_on` is None while it is a draft."""

    quote: Any
    job: Any
    book: Any
    held: Mapping[SettingName, Any]
    stages: Sequence[Any]
    damages: Sequence[Any]
    pictures: Sequence[Any]
    owner_yes: Any
    payer_yeses: Sequence[Any]
    taken: frozenset[int] | None
    sum: QuoteSum
    prices: Mapping[int, int]
    shares: Sequence[NamedShare]
    """Empty where the payers' rules ask for more than this quote comes to."""
    has_other_payer: bool
    coats: Mapping[str, CoatsShown]
    panels: Mapping[int, tuple[str, ...]]
    """The panels that each group works on, by its id, its own first."""
    given_on: date | None
    valid_until_on: date | None


def read_quote(session: Session, quote_id: int, *, as_given: bool = False) -> Known:
    """Everything that stands on a quote's paper; with `as_given` as if it were given at this moment."""
    quote = get_quote(session, quote_id)
    job = get_job_by_id(session, quote.job_id)
    today = day_of(session, now())
    given_on = quote.given_on or (today if as_given else None)
    yeses = [row for row in list_agreements(session, job.id) if row.quote_id == quote_id]
    owner_yes = next((row for row in reversed(yeses) if row.party == Party.OWNER), None)
    taken = _taken(session, owner_yes.id) if owner_yes else None
    stages, damages = list_stages(session, job.id), list_damages(session, job.id)
    return Known(
        quote=quote,
        job=job,
        book=get_book(session),
        held=settings_on(session, today),
        stages=stages,
        damages=damages,
        pictures=list_pictures(session, job.id, "damage"),
        owner_yes=owner_yes,
        payer_yeses=[row for row in yeses if row.party == Party.PAYER],
        taken=taken,
        sum=sum_of_quote(session, quote, taken),
        prices={int(group.key): group.sum_minor for group in priced_groups(quote)},
        shares=_shares(session, job, quote, taken),
        has_other_payer=has_other_payer(session, job.id),
        coats=_coats(session, quote, job, stages, damages),
        panels=_panels(session, quote, stages, damages),
        given_on=given_on,
        valid_until_on=quote.valid_until_on or (valid_until(session, quote, given_on) if given_on else None),
    )


def _taken(session: Session, agreement_id: int) -> frozenset[int]:
    marks = taken_groups(session, [agreement_id])[agreement_id]
    return frozenset(group_id for group_id, is_taken in marks.items() if is_taken)


def _shares(session: Session, job: Any, quote: Any, taken: frozenset[int] | None) -> list[NamedShare]:
    try:
        return shares_of_quote(session, job, quote, taken)
    except RuleBroken:
        return []


def _coats(
    session: Session, quote: Any, job: Any, stages: Sequence[Any], damages: Sequence[Any]
) -> dict[str, CoatsShown]:
    """What the work will lay on each panel; the old paint goes where the work begins on bare metal."""
    colour = job.vehicle.colour_hex if job.vehicle else ""
    found = {}
    for sign in job_coats(stages, damages, catalogue_on(session, quote.made_on), quote.made_at, colour):
        laid = [*sign.on, *([sign.waiting] if sign.waiting else []), *sign.due]
        due = tuple(coat for coat in laid if coat not in {Coat.METAL, Coat.PLASTIC, Coat.OLD})
        ground = tuple(coat for coat in sign.on if coat in {Coat.METAL, Coat.PLASTIC, Coat.OLD})
        if Coat.FILLER in due or Coat.PRIMER in due:
            ground = tuple(coat for coat in ground if coat != Coat.OLD)
        if due:
            found[sign.panel] = CoatsShown(country().panel(sign.panel), ground, due, colour)
    return found


def _panels(session: Session, quote: Any, stages: Sequence[Any], damages: Sequence[Any]) -> dict[int, tuple[str, ...]]:
    catalogue = catalogue_on(session, quote.made_on)
    hurt = list(dict.fromkeys(damage.panel for damage in damages))
    worked = dict.fromkeys(each.panel for stage in stages for each in stage.panels if each.panel)
    by_key: dict[str, list[str]] = {}
    for panel in dict.fromkeys([*hurt, *worked]):
        key = panel if panel in hurt else group_key([panel], hurt, catalogue)
        by_key.setdefault(key, []).append(panel)
    for stage in stages:
        own = [each.panel for each in stage.panels if each.panel]
        if stage.quote_group_key not in by_key and own:
            by_key[stage.quote_group_key] = own
    return {group.id: tuple(by_key.get(group.key, ())) for group in quote.groups}
