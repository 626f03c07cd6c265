"""A quick job in one act: who, what, one price, how it was paid; job, yes, numbered invoice and receipt come of it."""

from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Agreement, AgreementGroup, Invoice, Quote, QuoteGroup, QuoteLine
from shopbook.queries.money.pricing import tax_codes_on
from shopbook.queries.money.quotes import get_quote
from shopbook.queries.shop.days import day_of
from shopbook.services.jobs.jobs import mark_agreed, mark_handed_over, mark_ready, open_job
from shopbook.services.jobs.line_keys import draw_keys
from shopbook.services.jobs.whose import find_or_add_who
from shopbook.services.money.allocations import settle
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.paid_at_once import PaidAtOnce
from shopbook.services.money.quotes import give
from shopbook.trade.agreeing import Means, Party, QuoteKind
from shopbook.trade.amounts import LARGEST_MINOR
from shopbook.trade.billing import LineKind
from shopbook.trade.errors import RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.pricing.keys import ITEM_KEYS, QUOTE_KEYS


def quick_job(
    session: Session,
    actor: Actor,
    now: datetime,
    *,
    who: str,
    what: str,
    price_minor: int,
    means: str = "",
    kind: str = LineKind.LABOUR,
    customer_id: int | None = None,
    vehicle_id: int | None = None,
    reference: str = "",
) -> Invoice:
    """One small job, done and invoiced; `price_minor` is with tax. No means: it is paid later and the car stays.

    `who` is a name, a phone or a plate, as at the kerb; it may be left out where a customer or a car of the book is
    named. RuleBroken without one of them, without a word of what was done, or for a price that is not above nought.
    """
    if price_minor <= 0 or price_minor > LARGEST_MINOR:
        raise RuleBroken("Type the price with tax, above nought.", "price")
    if not what.strip():
        raise RuleBroken("Say in a line what was done.", "what")
    if customer_id is None and vehicle_id is None:
        customer, vehicle = find_or_add_who(session, actor, now, who)
        customer_id, vehicle_id = (each.id if each else None for each in (customer, vehicle))
    job = open_job(session, actor, now, customer_id=customer_id, vehicle_id=vehicle_id, wrong=what)
    job.came_at = now
    _agree_at_once(session, actor, now, job, price_minor, LineKind(kind))
    mark_agreed(session, now, job, [WHOLE_CAR_GROUP], actor=actor)
    mark_ready(session, actor, now, job.id)
    paid = PaidAtOnce(means, reference=reference) if means else None
    invoice = issue_invoice(session, actor, now, job.id, paid=paid)
    if means:
        mark_handed_over(session, actor, now, job)
        settle(session, now, job)
    return invoice


def _agree_at_once(session: Session, actor: Actor, now: datetime, job: Job, price_minor: int, kind: LineKind) -> None:
    """The price as a kerb price with tax inside, and the owner's yes to it, given in person."""
    today = day_of(session, now)
    quote = Quote(
        job_id=job.id,
        version=1,
        kind=QuoteKind.KERB,
        plan_version=None,
        is_estimate=False,
        up_to_minor=None,
        has_tax_inside=True,
        discount_minor=0,
        discount_why="",
        deposit_minor=0,
        not_included="",
        words="",
        made_at=now,
        made_on=today,
        valid_until_on=today,
        answered_at=now,
        revision=1,
        first_key=draw_keys(job, QUOTE_KEYS),
    )
    session.add(quote)
    session.flush()
    group = QuoteGroup(
        quote_id=quote.id,
        position=1,
        key=WHOLE_CAR_GROUP,
        choice="",
        title=job.wrong[:200],
        below="",
        price_minor=price_minor,
        first_key=draw_keys(job, ITEM_KEYS),
    )
    session.add(group)
    session.flush()
    session.add(
        QuoteLine(
            group_id=group.id,
            kind=kind,
            skill="",
            words=job.wrong[:200],
            minutes=0,
            rate_minor=0,
            amount_minor=price_minor,
            tax_code=tax_codes_on(session, today).get(kind, ""),
            line_key=draw_keys(job),
            is_touched=True,
        )
    )
    session.flush()
    give(session, now, get_quote(session, quote.id))
    yes = Agreement(
        job_id=job.id,
        quote_id=quote.id,
        party=Party.OWNER,
        customer_id=job.customer_id,
        means=Means.IN_PERSON,
        said_by="at the counter",
        amount_minor=price_minor,
        words="",
        signature="",
        at=now,
        on=today,
        person_id=actor.person_id,
    )
    session.add(yes)
    session.flush()
    session.add(AgreementGroup(agreement_id=yes.id, group_id=group.id, is_taken=True))
    session.flush()
