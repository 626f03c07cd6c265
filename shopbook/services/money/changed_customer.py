"""The customer of a job was the wrong one: quote, car, photos and money go along to the right one, in one act."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import select, update

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, JobPayer, Payment
from shopbook.queries.customers import get_customer, ids_of, name_on_papers
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.heads import get_head
from shopbook.queries.money.invoices import bill_of, credits_of, find_live_invoice, issued_line, list_credits
from shopbook.queries.money.moving import GoesAlong, read_what_goes_along
from shopbook.queries.money.payments import list_free, list_invoice_payments
from shopbook.queries.money.words import Wording, get_wording
from shopbook.services.act import Act
from shopbook.services.customers import keep_printed_name
from shopbook.services.jobs.jobs import CHANGED_MEANWHILE
from shopbook.services.jobs.whose import name_person, set_customer
from shopbook.services.money.allocations import set_against
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.issuing import PaperDraft, Share, write_paper
from shopbook.services.money.payments import Taken, put_down
from shopbook.services.money.receipts import write_receipt
from shopbook.services.postings import write_log
from shopbook.trade.billing import Credit, credit_rest
from shopbook.trade.billing.pay_means import MOVED_ALONG
from shopbook.trade.errors import Conflict, RuleBroken

CREDITED = "This job is another customer’s"


def change_customer_of_job(
    act: Act,
    job_id: int,
    *,
    revision: int,
    who: str = "",
    customer_id: int | None = None,
    printed_name: str = "",
) -> Job:
    """Give a job of which nothing is invoiced to another customer: the one pointed at, else whoever was typed, with the
    name for papers where one was typed.

    The quote, the photos and a car of the old customer (or of nobody) go along; approvals stay as recorded, and hold.
    Money of the old customer that is set against nothing goes back on one line and comes in on another; a deposit
    invoice is credited and written anew. Conflict when somebody else changed the job meanwhile; RuleBroken while an
    invoice stands, for a job that was called off, or for a customer who has it already or pays beside the old one.
    """
    job = get_job_by_id(act.session, job_id)
    if job.revision != revision:
        raise Conflict(CHANGED_MEANWHILE)
    _refuse_invoiced(act, job)
    customer = get_customer(act.session, customer_id) if customer_id else name_person(act, who)
    _refuse_same(act, job, customer)
    keep_printed_name(act, customer.id, printed_name)
    along = read_what_goes_along(act.session, job)
    deposits = [_taken_back(act, paper) for paper in along.deposit_papers]
    free, before = list_free(act.session, job_id=job.id, with_security=True), job.customer_id
    whose = job.customer.id if job.customer else None
    _name_payer_anew(act, job, customer)
    job = set_customer(act, job, customer)
    own = [row for row in free if row.payment.whose_id == whose]
    moved = {row.payment.id: _move(act, row.payment, row.free_minor, customer) for row in own}
    for deposit in deposits:
        _write_anew(act, job, deposit, moved, customer)
    for back, again in moved.values():
        write_receipt(act, back)
        write_receipt(act, again)
    _log(act, job, before, along)
    return job


def _refuse_invoiced(act: Act, job: Job) -> None:
    if job.called_off_at is not None:
        raise RuleBroken("This job was cancelled. Reopen it first.")
    paper = find_live_invoice(act.session, job.id)
    if paper is not None:
        raise RuleBroken(f"Invoice {paper.number} bills this job. Credit it first, then change the customer.")


def _refuse_same(act: Act, job: Job, customer: Customer) -> None:
    if job.customer is not None and customer.id == job.customer.id:
        raise RuleBroken("This customer has the job already. Enter somebody else.", "who")
    asked = select(JobPayer.id).where(JobPayer.job_id == job.id, JobPayer.whose_id == customer.id)
    if act.session.scalar(asked) is not None:
        raise RuleBroken("This customer pays a share of the job already. Change who pays first.", "who")


@dataclass(frozen=True, slots=True)
class _Deposit:
    """A deposit invoice that was just credited: what of it stood before, and the money that was set against it."""

    paper: Invoice
    rest: Credit
    paid: Sequence[tuple[Payment, int]]
    note: Invoice


def _taken_back(act: Act, paper: Invoice) -> _Deposit:
    bill = bill_of(paper)
    rest = credit_rest(bill, credits_of(bill, list_credits(act.session, paper.id)))
    paid = list_invoice_payments(act.session, paper.id)
    return _Deposit(paper, rest, paid, credit_invoice(act, paper.id, reason=CREDITED))


def _name_payer_anew(act: Act, job: Job, customer: Customer) -> None:
    """Where the old customer bears a share by a rule, the new one bears it."""
    if job.customer is not None:
        own = JobPayer.customer_id.in_(ids_of([job.customer.id]))
        act.session.execute(update(JobPayer).where(JobPayer.job_id == job.id, own).values(customer_id=customer.id))


def _move(act: Act, payment: Payment, free_minor: int, customer: Customer) -> tuple[Payment, Payment]:
    """What is free of a payment goes back under the old name and comes in under the new one, by the same means."""
    old = Taken(payment.customer_id, payment.job_id, payment.means, act.day, payment.reference, MOVED_ALONG)
    back = put_down(act, "moved", -free_minor, old, reverses=payment)
    again = put_down(act, payment.kind, free_minor, replace(old, customer_id=customer.id))
    return back, again


def _write_anew(
    act: Act,
    job: Job,
    deposit: _Deposit,
    moved: Mapping[int, tuple[Payment, Payment]],
    customer: Customer,
) -> None:
    """The deposit invoice under the new name: what stood of the first, at its rates and its day of supply."""
    paper, said = deposit.paper, get_wording(act.session)
    lines = [
        replace(issued_line(line), amount_minor=net, net_minor=net)
        for line, net in zip(paper.lines, deposit.rest.line_nets, strict=True)
        if net
    ]
    frozen = get_head(act.session, job) | _below(deposit, customer, said)
    share = Share(customer.id, deposit.rest.gross_minor, act.day, "deposit")
    draft = PaperDraft("deposit", job, paper.supply_on, lines, deposit.rest.taxes, [share], frozen)
    anew = write_paper(act, draft)
    left = anew.gross_minor
    for payment, amount in deposit.paid:
        part = min(left, amount) if payment.id in moved else 0
        if part > 0:
            set_against(act, moved[payment.id][1], anew.id, customer.id, part)
            left -= part


def _below(deposit: _Deposit, customer: Customer, said: Wording) -> dict[str, Any]:
    paper, gross = deposit.paper, deposit.rest.gross_minor
    (group, *_) = paper.frozen["groups"]
    first = f"deposit invoice {said.invoice_number(paper.number)} of {said.day(paper.issued_on)}"
    return {
        "facts": paper.frozen["facts"],
        "groups": [group | {"other": deposit.rest.net_minor}],
        "not_done": [],
        "payers": [
            {"customer_id": customer.id, "name": name_on_papers(customer), "words": "paid when taken", "paid": gross}
        ],
        "notes": [
            f"Replaces {first}, credited by credit note {deposit.note.number}.",
            "This deposit is taken off the invoice for the finished work, with its tax.",
        ],
        "care": "",
        "storage": "",
    }


def _log(act: Act, job: Job, before: int | None, along: GoesAlong) -> None:
    """The log names customers by id alone: erasing one leaves it whole."""
    was = f"from customer {before} " if before else ""
    papers = ", a deposit invoice written anew" if along.deposit_papers else ""
    words = f"Changed the customer {was}to customer {job.customer_id}{papers}"
    write_log(act, "change_customer_of_job", "job", job.id, words, job_id=job.id)
