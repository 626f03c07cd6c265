"""A quick job in one act: job, approval, numbered invoice and receipt; of one typed price, or of a quick estimate."""

from shopbook.models.jobs import Job
from shopbook.models.money import Approval, ApprovalGroup, Invoice, Quote, QuoteGroup, QuoteLine
from shopbook.queries.customers import get_customer
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import list_bare_stages
from shopbook.queries.money.pricing import tax_codes_on
from shopbook.queries.money.quotes import get_quote
from shopbook.queries.money.words import get_wording
from shopbook.services.act import Act
from shopbook.services.customers import change_customer
from shopbook.services.floor.finishing import UNMIXED, finish_stages
from shopbook.services.jobs.jobs import mark_agreed, open_job
from shopbook.services.jobs.leaving import mark_handed_over, mark_ready
from shopbook.services.jobs.line_keys import draw_keys
from shopbook.services.jobs.whose import find_or_add_who
from shopbook.services.money.allocations import settle
from shopbook.services.money.approvals import agree_quote
from shopbook.services.money.approved_work import keep_approved_work
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.paid_at_once import PaidAtOnce
from shopbook.services.money.quotes import give
from shopbook.trade.agreeing.words import ApprovalMeans, Party, QuoteKind
from shopbook.trade.billing import LineKind
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import LARGEST_MINOR
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP
from shopbook.trade.pricing.keys import ITEM_KEYS, QUOTE_KEYS

AT_THE_COUNTER = "at the counter"


def quick_job(
    act: Act,
    *,
    who: str,
    what: str,
    price_minor: int,
    means: str = "",
    kind: str = LineKind.LABOUR,
    customer_id: int | None = None,
    vehicle_id: int | None = None,
    reference: str = "",
    address: str = "",
) -> Invoice:
    """One small job, done and invoiced; `price_minor` is with tax. No means: it is paid later and the car stays.

    `who` is a name, a phone or a plate, as at the kerb; it may be left out where a customer or a car of the book is
    named, and where the country's small papers need no customer and the job is paid now. RuleBroken without one of
    them, without a word of what was done, or for a price that is not above zero.
    """
    _refuse_bare(what, price_minor)
    is_nameless = bool(means) and not who.strip() and get_wording(act.session).country.own_small_papers is not None
    if customer_id is None and vehicle_id is None and not is_nameless:
        customer_id, vehicle_id = _who(act, who, address)
    job = open_job(act, customer_id=customer_id, vehicle_id=vehicle_id, wrong=what, is_nameless=is_nameless)
    job.came_at = act.moment
    approval = _agree_at_once(act, job, price_minor, LineKind(kind))
    mark_agreed(act.session, act.moment, job, [WHOLE_CAR_GROUP], actor=act.actor)
    keep_approved_work(act, job, get_quote(act.session, approval.quote_id), approval)
    return _bill_and_let_go(act, job, means, reference)


def do_at_once(act: Act, quote: Quote, *, means: str, reference: str = "") -> Invoice:
    """The job of a quick estimate done, billed, paid and its car handed over; the payment stands for the approval.

    Its stages are finished as planned, without a clock and without a mix: what the plan uses leaves the shelf, and no
    hours are on the job. RuleBroken without a way of paying, and for whatever refuses an approval or an invoice.
    """
    if not means:
        raise RuleBroken("Choose how it was paid.", "paid_by")
    job = get_job_by_id(act.session, quote.job_id)
    job.came_at = job.came_at or act.moment
    customer = get_customer(act.session, job.customer_id) if job.customer_id else None
    agree_quote(
        act,
        quote.id,
        party=Party.CUSTOMER,
        taken_group_ids=[group.id for group in quote.groups],
        means=ApprovalMeans.IN_PERSON,
        said_by=(customer.called if customer else "") or AT_THE_COUNTER,
    )
    stages = [stage.id for stage in list_bare_stages(act.session, job.id) if stage.finished_at is None]
    if stages:
        finish_stages(act, stages, UNMIXED)
    return _bill_and_let_go(act, job, means, reference)


def _bill_and_let_go(act: Act, job: Job, means: str, reference: str) -> Invoice:
    """Ready and invoiced; paid and gone too where it is paid now."""
    mark_ready(act, job.id)
    paid = PaidAtOnce(means, reference=reference) if means else None
    invoice = issue_invoice(act, job.id, paid=paid)
    if means:
        mark_handed_over(act, job)
        settle(act.session, act.moment, job)
    return invoice


def _refuse_bare(what: str, price_minor: int) -> None:
    if price_minor <= 0 or price_minor > LARGEST_MINOR:
        raise RuleBroken("Enter a price above zero, for example 120 or 120.50.", "price")
    if not what.strip():
        raise RuleBroken("Enter what was done.", "what")


def _who(act: Act, who: str, address: str) -> tuple[int | None, int | None]:
    """Customer and car of what was typed, by id; an address that was typed is the customer's from now on."""
    customer, vehicle = find_or_add_who(act, who)
    if customer is not None and address.strip():
        change_customer(act, customer.id, revision=customer.revision, address=address.strip())
    return customer.id if customer else None, vehicle.id if vehicle else None


def _agree_at_once(act: Act, job: Job, price_minor: int, kind: LineKind) -> Approval:
    """The price as a kerb price with tax inside, and the customer's approval of it, given in person."""
    today = act.day
    quote = Quote(
        job_id=job.id,
        version=1,
        kind=QuoteKind.KERB,
        has_tax_inside=True,
        made_at=act.moment,
        made_on=today,
        valid_until_on=today,
        answered_at=act.moment,
        first_key=draw_keys(job, QUOTE_KEYS),
    )
    act.session.add(quote)
    act.session.flush()
    group = QuoteGroup(
        quote_id=quote.id,
        position=1,
        key=WHOLE_CAR_GROUP,
        title=job.wrong[:200],
        price_minor=price_minor,
        first_key=draw_keys(job, ITEM_KEYS),
    )
    act.session.add(group)
    act.session.flush()
    act.session.add(
        QuoteLine(
            group_id=group.id,
            kind=kind,
            words=job.wrong[:200],
            amount_minor=price_minor,
            tax_code=tax_codes_on(act.session, today).get(kind, ""),
            line_key=draw_keys(job),
            is_touched=True,
        )
    )
    # The line before the quote is given: the paper is frozen from what is read back.
    act.session.flush()
    give(act, get_quote(act.session, quote.id))
    approval = Approval(
        job_id=job.id,
        quote_id=quote.id,
        party=Party.CUSTOMER,
        customer_id=job.customer_id,
        means=ApprovalMeans.IN_PERSON,
        said_by=AT_THE_COUNTER,
        amount_minor=price_minor,
        at=act.moment,
        on=today,
        person_id=act.actor.person_id,
        said_at=act.moment,
    )
    act.session.add(approval)
    act.session.flush()
    act.session.add(ApprovalGroup(approval_id=approval.id, group_id=group.id, is_taken=True))
    act.session.flush()
    return approval
