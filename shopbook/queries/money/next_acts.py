"""The next act of several jobs, for the list of jobs, Today and the page of a job; and what of each is still open."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from shopbook.models.jobs import Job
from shopbook.queries.jobs.jobs import moments_of
from shopbook.queries.jobs.whole import WholeJob
from shopbook.queries.money.accounts import Accounts
from shopbook.queries.money.owed import JobStands
from shopbook.queries.money.quotes import is_main
from shopbook.queries.money.words import Wording, wording_of
from shopbook.trade.agreeing.words import Party
from shopbook.trade.countries import Country
from shopbook.trade.diary.late import LateCar
from shopbook.trade.next_act import JobFacts, MoneyFacts, NextAct, NextStep, PlanFacts, Price, next_act, things_open
from shopbook.trade.permissions import Role
from shopbook.trade.purposes import is_paid_for

_RANK = list(Price)


@dataclass(frozen=True, slots=True)
class PriceState:
    """How far the price of a job has come, its quote, and the shop's day on which its customer had it."""

    price: Price = Price.NONE
    quote_id: int | None = None
    asked_on: date | None = None


def next_act_of(
    whole: WholeJob,
    plan: PlanFacts,
    accounts: Accounts,
    stands: JobStands,
    late: LateCar | None,
    roles: Collection[Role],
) -> NextAct:
    """The same of one job that is read already, with what its money is made of and the day that can be kept of a late
    promise, for a person of these roles; no statement."""
    job, quotes = whole.job, accounts.approvals.quotes.get(whole.job.id, [])
    rows = [
        (job.id, quote.id, quote.given_at, quote.asked_customer_at)
        for quote in reversed(quotes)
        if is_main(quote) and quote.replaced_at is None
    ]
    price = _furthest(rows, accounts.shop.day_of).get(job.id, PriceState())
    things = open_things(whole, plan, accounts, stands)
    facts = replace(_facts(job, plan, price, stands), open_things=things, late=late)
    return _said(next_act(facts, roles, accounts.shop.day), accounts.shop.country)


def _said(found: NextAct, country: Country) -> NextAct:
    """The act in the words of the country; of work it is the name of the stage, which is said as it stands."""
    if found.act is NextStep.WORK:
        return found
    then = _said(found.then, country) if found.then else None
    return replace(found, words=country.say(found.words), tag=country.say(found.tag), then=then)


def _facts(job: Job, plan: PlanFacts, price: PriceState, stands: JobStands) -> JobFacts:
    return JobFacts(
        moments=moments_of(job),
        came_at=job.came_at,
        drop_off_on=job.drop_off_on,
        told_ready_at=job.told_ready_at,
        asked_on=price.asked_on,
        price=price.price,
        quote_id=price.quote_id,
        plan=plan,
        money=_money(job, stands),
    )


def _money(job: Job, stands: JobStands) -> MoneyFacts:
    is_billed = is_paid_for(job.purpose) and job.called_off_at is None
    return MoneyFacts(
        is_to_invoice=is_billed and stands.agreed_minor > 0 and not stands.is_invoiced,
        rest_minor=stands.rest_minor,
        due_now_minor=stands.due_now_minor,
        owed_minor=stands.owed_minor,
        held_minor=stands.on_account_minor + stands.security_minor,
    )


def _furthest(rows: Iterable[Any], on: Callable[[datetime], date]) -> dict[int, PriceState]:
    """The quote of each job that has come furthest, of rows in the order of their versions."""
    found: dict[int, PriceState] = {}
    for job_id, quote_id, given_at, asked_at in rows:
        price = Price.DRAFT if given_at is None else Price.GIVEN if asked_at is None else Price.ASKED
        if job_id not in found or _RANK.index(price) >= _RANK.index(found[job_id].price):
            found[job_id] = PriceState(price, quote_id, on(asked_at) if asked_at else None)
    return found


def open_things(whole: WholeJob, plan: PlanFacts, accounts: Accounts, stands: JobStands) -> tuple[str, ...]:
    """The same of one job that is read already; no statement."""
    job_id = whole.job.id
    approvals = accounts.approvals
    extras = [
        group.title
        for quote in reversed(approvals.quotes.get(job_id, []))
        if not (is_main(quote) or quote.replaced_at or approvals.given_to(quote, Party.CUSTOMER))
        for group in quote.groups
    ]
    parts = [part.name for part in whole.standing_parts if part.ordered_at is not None and part.came_at is None]
    return _things(plan, parts, extras, stands, wording_of(accounts.shop.book))


def _things(
    plan: PlanFacts, parts: Iterable[str], extras: Iterable[str], stands: JobStands, said: Wording
) -> tuple[str, ...]:
    return things_open(
        tuple(stage.name for stage in plan.open_stages if stage.is_owed),
        tuple(parts),
        tuple(extras),
        said.money(stands.held_minor) if stands.held_minor else "",
    )


def _names(rows: Iterable[tuple[int, str]]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    for job_id, name in rows:
        found[job_id].append(name)
    return found
