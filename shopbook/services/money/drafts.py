"""An invoice before it has its number: lines, tax, who pays what, and the words that will be frozen with it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.money.billable import AgreedWork, BillingDay, agreed_work
from shopbook.queries.money.issued import Issued, issued_of
from shopbook.queries.money.part_marks import read_part_marks
from shopbook.queries.money.payers import NamedShare, due_on, payers_of, usual_days
from shopbook.queries.money.payments import FreePayment, list_free
from shopbook.queries.money.split import Split, share_now, split_not_issued
from shopbook.queries.money.words import Wording, wording_of
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.services.money.deposits import Deposits, deposits_by_payer, standing_deposits
from shopbook.services.money.frozen import (
    approval_notes,
    freeze_exempt,
    freeze_groups,
    freeze_head,
    freeze_left,
    freeze_tax,
    freeze_words,
    tax_notes,
)
from shopbook.services.money.further import further_notes, further_to
from shopbook.services.money.issuing import PaperDraft, Share
from shopbook.trade.billing import Bill, BillLine, LineKind
from shopbook.trade.billing.deposits import FinalBill, deduct_deposits
from shopbook.trade.billing.pay_means import MEANS_WORDS, PayMeans
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.measures.locales import write_list

RULE_WORDS = {"excess": "{excess}", "excess_and_tax": "{excess} and the tax"}
EARLIER_RULE_WORDS = ("the first part of it, and the tax", "the first part of it")
"""The same on papers from before."""
ONLY_TAX_INVOICE = "This is the only tax invoice for this work. Other payers receive a request to pay without tax."
AGAIN_WORDS = {"excess_and_tax": "the tax"}
"""On a follow-up invoice, where the excess is on an earlier one."""


def draft_invoice(session: Session, now: datetime, job: Job, day: date, billing: BillingDay) -> PaperDraft:
    """The invoice as it would be issued now with `day` as the day of supply; writes nothing.

    Where an invoice stands, a follow-up for what it does not hold: Conflict where that is nothing. RuleBroken before
    approval, or where payers' rules or deposits do not fit the sum.
    """
    work, issued = agreed_work(session, [job.id])[job.id], issued_of(session, [job.id])[job.id]
    split = split_not_issued(session, work, issued, payers_of(session, job), billing)
    return draft_of(shop_at(session, now), job, day, (work, issued, split))


def draft_of(shop: ShopOn, job: Job, day: date, read: tuple[AgreedWork, Issued, Split]) -> PaperDraft:
    """The same in today's shop, of what is read already: the work, what is issued, and what of both is billed now."""
    session, (work, issued, split) = shop.session, read
    billable = split.billable
    _refuse_nothing(split, issued)
    deposits = [] if issued.has_deposit_off else standing_deposits(session, job.id)
    said = wording_of(shop.book)
    final = final_bill(billable.bill, deposits)
    billable = replace(billable, bill=final.bill)
    lines = [*billable.bill.lines, *_deposit_lines(deposits, said)]
    shares = share_now(split, issued, billable.bill)
    own = _shares(shop, job, deposits, shares, said)
    frozen, free = freeze_head(session, job), list_free(session, job_id=job.id)
    marks = read_part_marks(session, (line.job_part_id for line in lines), said.country)
    is_painted = any(row.kind in {LineKind.MATERIALS, LineKind.COLOUR} for row in lines)
    frozen |= (
        freeze_words(shop.on(day), is_painted=is_painted)
        | freeze_tax(shop.on(day), said)
        | freeze_exempt(job, billable.bill, day, said)
        | {
            "facts": _facts(job, work, day, said) + further_to(issued, said),
            "groups": freeze_groups(lines, work, said, marks),
            "not_done": freeze_left(work),
            "payers": _frozen_payers(free, shares, own, shop.day, said),
            "notes": further_notes(issued, said)
            + tax_notes(billable.bill, work, said)
            + _notes(free, shares, said)
            + approval_notes(work, said),
        }
    )
    return PaperDraft("invoice", job, day, lines, final.rest, own, frozen)


def _refuse_nothing(split: Split, issued: Issued) -> None:
    if split.billable.bill.lines:
        return
    if split.held:
        names = write_list([row.payer.name for row in split.held])
        raise RuleBroken(f"Nothing can be billed yet. Save the approval of {names} first.")
    if not issued.papers:
        raise RuleBroken("No price is approved for this job yet. Save the approval first.")
    raise Conflict(
        f"Invoice {issued.papers[-1].number} bills everything approved for this job. To change it, credit it first."
    )


def final_bill(bill: Bill, deposits: Deposits) -> FinalBill:
    """A job's bill with these deposit invoices taken off."""
    return deduct_deposits(bill, [Bill((), tuple(totals)) for _, totals in deposits])


def _deposit_lines(deposits: Deposits, said: Wording) -> list[BillLine]:
    """What each deposit takes off, under the key of its own invoice."""
    return [
        BillLine(
            LineKind.DEPOSIT,
            f"Deposit, invoice {said.invoice_number(paper.number)} of {said.day(paper.issued_on)}",
            -row.basis_minor,
            row.rate.code,
            net_minor=-row.basis_minor,
            key=next((line.line_key or 0 for line in paper.lines), 0),
        )
        for paper, rows in deposits
        for row in rows
    ]


def _shares(shop: ShopOn, job: Job, deposits: Deposits, shares: Sequence[NamedShare], said: Wording) -> list[Share]:
    """Each payer's share less the deposits that payer gave; RuleBroken where a deposit is more than the share."""
    given, found = deposits_by_payer(deposits), []
    for row in shares:
        left = row.gross_minor - given.pop(row.payer.customer_id, 0)
        if left < 0:
            raise RuleBroken(
                f"The deposit is {said.money(-left)} more than its payer’s share. Credit that amount first.",
                "payers",
            )
        words = ", ".join(part for part, _ in row.share.parts)
        # As the job has it: a merged customer's papers are its own again once both are parted.
        kept = job.customer_id if row.payer.is_customer else row.payer.recorded_id
        found.append(Share(kept, left, due_on(shop.day, row.payer.customer, usual_days(shop)), words))
    if given:
        raise RuleBroken("A deposit came from someone who pays no share of this job. Credit it first.", "payers")
    return found


def _facts(job: Job, work: AgreedWork, day: date, said: Wording) -> list[list[str]]:
    versions = [row.quote.version for row in work.quotes[:1]]
    of_quote = said.say(f"{job.number}, {{estimate}} version {versions[0]}") if versions else str(job.number)
    return [["Work finished", said.day(day, with_weekday=True)], ["Job", of_quote]]


def _frozen_payers(
    payments: Sequence[FreePayment], shares: Sequence[NamedShare], own: Sequence[Share], today: date, said: Wording
) -> list[dict[str, object]]:
    free: dict[int | None, int] = {}
    for row in payments:
        free[row.payment.whose_id] = free.get(row.payment.whose_id, 0) + row.free_minor
    found: list[dict[str, object]] = []
    for named, share in zip(shares, own, strict=True):
        name, reference = named.payer.name_on_papers, named.payer.reference
        is_later = share.due_on > today
        when = f"due {said.day(share.due_on, with_weekday=True)}" if is_later else said.say("due on {pickup_of_car}")
        when = when if share.share_minor else ""
        is_first = any(words == "excess" for words, _ in named.share.parts)
        how = said.say((RULE_WORDS if is_first else AGAIN_WORDS).get(named.payer.rule, ""))
        found.append(
            {
                "customer_id": share.customer_id,
                "name": f"{name}, {reference}" if reference else name,
                "words": ", ".join(part for part in (how, when) if part),
                "paid": min(free.get(named.payer.customer_id, 0), share.share_minor),
            }
        )
    return found


def _notes(payments: Sequence[FreePayment], shares: Sequence[NamedShare], said: Wording) -> list[str]:
    notes = [_taken(row, said) for row in payments]
    if len(shares) > 1 and said.book.is_tax_invoice:
        notes.append(ONLY_TAX_INVOICE)
    return notes


def _taken(row: FreePayment, said: Wording) -> str:
    """Money that pays a part of the invoice as it is written: taken before it, or more than was owed until now."""
    payment = row.payment
    means = said.say(MEANS_WORDS.get(PayMeans(payment.means), "")).lower()
    how = f"{said.day(payment.on)}, {means}, receipt {payment.number}"
    if row.free_minor < payment.amount_minor:
        return f"{said.money(row.free_minor)} of credit used from the payment of {how}."
    kind = "Deposit" if payment.kind == "held" else "Payment"
    return f"{kind} of {said.money(row.free_minor)} received {how}. No tax was due on it until the work was finished."
