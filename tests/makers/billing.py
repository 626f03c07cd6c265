"""Makers of jobs with a yes: groups of priced lines, extras, payers, and what the owner took of them."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import (
    Approval,
    ApprovalGroup,
    Invoice,
    InvoiceLine,
    JobPayer,
    Quote,
    QuoteGroup,
    QuoteLine,
)
from shopbook.models.shop import DatedTaxRate
from shopbook.queries.money.quotes import get_quote
from shopbook.queries.reports.proofs import list_proofs
from shopbook.queries.shop.days import day_of
from shopbook.services.act import Act
from shopbook.services.jobs.jobs import open_job
from shopbook.services.jobs.line_keys import draw_keys
from shopbook.services.money.given import write_given
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.trade.pricing.keys import ITEM_KEYS, QUOTE_KEYS
from tests.makers.customers import make_customer, make_vehicle
from tests.makers.shop import lifted

Lines = Sequence[tuple[str, str, int]]
"""(kind, words, minor units)."""

QUARTER = (
    "right_quarter",
    "1 · Right quarter panel",
    [("labour", "Body work", 40950), ("materials", "Materials", 21350)],
)
DOOR = ("right_rear_door", "2 · Right rear door", [("labour", "Paint work", 7800), ("materials", "Materials", 6200)])
BUMPER = ("rear_bumper", "3 · Rear bumper corner, scuff to the plastic", [("labour", "Paint work", 21000)])
ARCH = ("right_quarter", "Behind the wheel arch", [("labour", "Body work", 2600), ("materials", "Materials", 1400)])


def make_job(session: Session, now: datetime, customer: Customer | None = None, **given: Any) -> Job:
    """A car that came three days before `now`, its owner known; nothing quoted yet."""
    came = now - timedelta(days=3)
    owner = customer or make_customer(session)
    car = make_vehicle(session, owner)
    job = open_job(
        Act(session, THE_PROGRAM, came), customer_id=owner.id, vehicle_id=car.id, wrong="crease in the quarter"
    )
    job.came_at = came
    for name, value in given.items():
        setattr(job, name, value)
    session.flush()
    return job


def add_quote(
    session: Session,
    job: Job,
    at: datetime,
    groups: Sequence[tuple[str, str, Lines]],
    *,
    kind: str = "quote",
    taken: Sequence[str] | None = None,
    has_yes: bool = True,
    code: str = "",
    **given: Any,
) -> Quote:
    """A given quote; with a yes from the owner to the groups whose key is in `taken` (None: to all)."""
    version = len(session.scalars(select(Quote.id).where(Quote.job_id == job.id)).all()) + 1
    day = day_of(session, at)
    defaults: dict[str, Any] = {
        "is_estimate": False,
        "up_to_minor": None,
        "has_tax_inside": False,
        "discount_minor": 0,
        "discount_why": "",
        "deposit_minor": 0,
        "not_included": "",
        "words": "",
    }
    quote = Quote(
        job_id=job.id,
        version=version,
        kind=kind,
        made_at=at,
        made_on=day,
        given_at=at,
        given_on=day,
        first_key=_first_key(session, job, kind),
        **(defaults | given),
    )
    session.add(quote)
    session.flush()
    made = [_add_group(session, quote, place, *group, code=code) for place, group in enumerate(groups, 1)]
    write_given(session, at, get_quote(session, quote.id))
    if has_yes:
        say_yes(session, job, quote, at, [group for group in made if taken is None or group.key in taken], made)
    return quote


def _add_group(
    session: Session, quote: Quote, place: int, key: str, title: str, lines: Lines, *, code: str
) -> QuoteGroup:
    job = session.get_one(Job, quote.job_id)
    group = QuoteGroup(quote_id=quote.id, position=place, key=key, title=title)
    known = _known_keys(session, quote, key)
    group.first_key = known[""].pop(0) if known[""] else draw_keys(job, ITEM_KEYS)
    session.add(group)
    session.flush()
    for kind, words, amount in lines:
        same = known[f"{kind} {words}"]
        session.add(
            QuoteLine(
                group_id=group.id,
                kind=kind,
                skill="body" if kind == "labour" else "",
                words=words,
                minutes=amount * 60 // 6500 if kind == "labour" else 0,
                rate_minor=6500 if kind == "labour" else 0,
                amount_minor=amount,
                tax_code=code or ("none" if kind in {"labour", "sublet", "fee"} else "sales"),
                line_key=same.pop(0) if same else draw_keys(job),
            )
        )
    session.flush()
    return group


def _first_key(session: Session, job: Job, kind: str) -> int:
    """A newer version of the quote has the block of the one before, an extra one of its own."""
    asked = select(Quote.first_key).where(Quote.job_id == job.id, Quote.kind != "extra")
    return (session.scalar(asked) if kind != "extra" else None) or draw_keys(job, QUOTE_KEYS)


def _known_keys(session: Session, quote: Quote, key: str) -> dict[str, list[int]]:
    """The keys that lines of the same kind and words (and "": the item) had on the version before of a quote."""
    found: dict[str, list[int]] = defaultdict(list)
    asked = select(QuoteGroup).join(Quote, Quote.id == QuoteGroup.quote_id).order_by(Quote.version.desc())
    asked = asked.where(Quote.job_id == quote.job_id, Quote.kind != "extra", Quote.id != quote.id)
    before = session.scalars(asked.where(QuoteGroup.key == key)).first() if quote.kind != "extra" else None
    if before is not None:
        found[""].append(before.first_key)
        for line in session.scalars(select(QuoteLine).where(QuoteLine.group_id == before.id).order_by(QuoteLine.id)):
            found[f"{line.kind} {line.words}"].append(line.line_key)
    return found


def say_yes(
    session: Session, job: Job, quote: Quote, at: datetime, taken: Sequence[QuoteGroup], groups: Sequence[QuoteGroup]
) -> Approval:
    """The owner's yes, by text message."""
    approval = Approval(
        job_id=job.id,
        quote_id=quote.id,
        party="customer",
        customer_id=job.customer_id,
        means="text",
        said_by="Ines Okafor",
        amount_minor=None,
        at=at,
        said_at=at,
        on=day_of(session, at),
    )
    session.add(approval)
    session.flush()
    for group in groups:
        session.add(ApprovalGroup(approval_id=approval.id, group_id=group.id, is_taken=group in taken))
    job.agreed_at = job.agreed_at or at
    session.flush()
    return approval


def make_agreed_job(session: Session, now: datetime, **given: Any) -> Job:
    """Quarter and door taken, bumper left, the extra behind the arch agreed: 803.00 before tax, 826.16 with it."""
    job = make_job(session, now, **given)
    add_quote(session, job, job.opened_at, [QUARTER, DOOR, BUMPER], taken=["right_quarter", "right_rear_door"])
    add_quote(session, job, now - timedelta(days=2), [ARCH], kind="extra")
    return job


def name_payer(session: Session, job: Job, customer: Customer, rule: str, amount_minor: int = 0, **given: Any) -> None:
    """One payer of a job by a rule."""
    words = {"group_keys": "", "reference": ""} | given
    session.add(JobPayer(job_id=job.id, customer_id=customer.id, rule=rule, amount_minor=amount_minor, **words))
    session.flush()


def say_pays(
    session: Session,
    job: Job,
    customer: Customer,
    pays: int,
    at: datetime,
    kind: str = "quote",
    **given: Any,
) -> Approval:
    """A payer's approval by mail of the newest quote (or extra) of a job: what it pays of it."""
    asked = select(Quote).where(Quote.job_id == job.id, Quote.kind == kind).order_by(Quote.id.desc())
    plain: dict[str, Any] = {"amount_minor": pays, "pays_minor": pays, "words": "", "signature": ""}
    approval = Approval(
        job_id=job.id,
        quote_id=session.scalars(asked.limit(1)).one().id,
        party="payer",
        customer_id=customer.id,
        means="mail",
        said_by="Claims desk",
        at=at,
        said_at=at,
        on=day_of(session, at),
        **(plain | given),
    )
    session.add(approval)
    session.flush()
    return approval


def set_tax(
    session: Session, code: str, name: str, rate_thousandths: int, kinds: list[str], from_on: Any, at: datetime
) -> None:
    """A kind of tax from a day, confirmed; `kinds` are its line kinds."""
    session.add(
        DatedTaxRate(
            code=code,
            name=name,
            rate_thousandths=rate_thousandths,
            line_kinds=kinds,
            is_confirmed=True,
            from_on=from_on,
            at=at,
        )
    )
    session.flush()


def forget_keys(session: Session, invoice: Invoice) -> None:
    """The invoice as the version before keys left it."""
    with lifted(session, "guard_invoice_line_update"):
        session.execute(update(InvoiceLine).where(InvoiceLine.invoice_id == invoice.id).values(line_key=None))
    session.expire_all()


def prove(session: Session) -> None:
    """Every claim about the book holds; an act that is still open has not led anywhere yet."""
    session.flush()
    faults = [fault for proof in list_proofs(session) for fault in proof.faults if "act with the key" not in fault.said]
    assert faults == [], faults
