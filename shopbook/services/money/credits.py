"""A credit note takes an issued paper back: whole, by lines, or by a sum; all of them mirror it to the last unit."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.billable import AgreedWork
from shopbook.queries.money.invoices import (
    bill_of,
    credits_of,
    get_invoice,
    issued_line,
    list_credits,
    payer_standings,
)
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.words import Wording, get_wording
from shopbook.services.act import Act
from shopbook.services.money.allocations import free_surplus, settle
from shopbook.services.money.frozen import freeze_groups
from shopbook.services.money.issuing import PaperDraft, Share, write_paper
from shopbook.services.postings import write_log
from shopbook.trade.billing import Bill, BillLine, Credit, credit_amount, credit_lines, credit_rest
from shopbook.trade.billing.payers import share_credit
from shopbook.trade.errors import RuleBroken


def credit_invoice(
    act: Act,
    invoice_id: int,
    *,
    reason: str,
    places: Collection[int] = (),
    amount_minor: int | None = None,
) -> Invoice:
    """A credit note against an invoice: the lines at `places` (from zero), a sum with its tax, or all that is left.

    Several mirror the invoice to the last unit. Money set against what is not owed any more comes free on account.
    RuleBroken without a reason, for a credit note, for more than is left, or for a deposit that an invoice took off.
    """
    invoice = get_invoice(act.session, invoice_id)
    if invoice.kind == "credit":
        raise RuleBroken("A credit note cannot be credited. Write a new invoice instead.")
    if not reason.strip():
        raise RuleBroken("Enter a reason. It is printed on the credit note.", "reason")
    job = get_job_by_id(act.session, invoice.job_id)
    issued = issued_of(act.session, [job.id])[job.id]
    if invoice.kind == "deposit" and issued.has_deposit_off:
        raise RuleBroken(f"This deposit was taken off invoice {issued.off_number}. Credit that invoice first.")
    bill = bill_of(invoice)
    credit = _credit(bill, credits_of(bill, list_credits(act.session, invoice.id)), places, amount_minor)
    note = write_paper(act, draft_credit(act.session, act.day, job, invoice, credit, reason))
    free_surplus(act, invoice.id)
    words = f"Credited invoice {invoice.number} with credit note {note.number}"
    write_log(act, "credit_invoice", "invoice", note.id, words, job_id=job.id)
    settle(act.session, act.moment, job)
    return note


def _credit(bill: Bill, already: Sequence[Credit], places: Collection[int], amount_minor: int | None) -> Credit:
    if amount_minor is not None:
        return credit_amount(bill, amount_minor, already)
    return credit_lines(bill, places, already) if places else credit_rest(bill, already)


def draft_credit(session: Session, today: date, job: Job, invoice: Invoice, credit: Credit, reason: str) -> PaperDraft:
    """The credit note as it would be issued today; writes nothing. RuleBroken for more than its payers still bear."""
    said = get_wording(session)
    lines = [
        replace(issued_line(line), amount_minor=-net, net_minor=-net, minutes=0)
        for line, net in zip(invoice.lines, credit.line_nets, strict=True)
        if net
    ]
    rows = payer_standings(session, [invoice.id])[invoice.id]
    _refuse_beyond(credit, sum(max(0, row.share_minor) for row in rows))
    parts = share_credit(credit.gross_minor, credit.tax_minor, [(row.words, row.share_minor) for row in rows])
    shares = [Share(row.customer_id, -part, today) for row, part in zip(rows, parts, strict=True) if part]
    frozen = _frozen(invoice, lines, shares, said)
    taxes = [-row for row in credit.taxes]
    return PaperDraft("credit", job, today, lines, taxes, shares, frozen, credits_id=invoice.id, reason=reason)


def _refuse_beyond(credit: Credit, left_minor: int) -> None:
    if credit.gross_minor < 0:
        raise RuleBroken("These lines add up to less than zero. Choose other lines.", "places")
    if credit.gross_minor > left_minor:
        raise RuleBroken(
            "That is more than this invoice leaves after its deposit. Credit all of it and write a new invoice: any "
            "overpayment becomes credit.",
            "places",
        )


def _frozen(invoice: Invoice, lines: Sequence[BillLine], shares: Sequence[Share], said: Wording) -> dict[str, object]:
    frozen = invoice.frozen
    names = {row["customer_id"]: row["name"] for row in frozen["payers"]}
    kind = "deposit invoice" if invoice.kind == "deposit" else "invoice"
    found: dict[str, object] = frozen | {
        "facts": [
            ["Credits", f"{kind} {said.invoice_number(invoice.number)} of {said.day(invoice.issued_on)}"],
            ["Job", str(frozen["job"])],
        ],
        "groups": freeze_groups(lines, AgreedWork(invoice.job_id), said),
        "not_done": [],
        "payers": [
            {"customer_id": share.customer_id, "name": names.get(share.customer_id, ""), "words": "", "paid": 0}
            for share in shares
        ],
        "notes": _whose(invoice, shares, names, said),
        "care": "",
        "storage": "",
    }
    return found


def _whose(invoice: Invoice, shares: Sequence[Share], names: Mapping[int | None, str], said: Wording) -> list[str]:
    """Where several pay: from whose share how much comes off."""
    if len(invoice.payers) < 2:
        return []
    return [
        f"{said.money(-share.share_minor)} comes off the share of {names.get(share.customer_id, '')}."
        for share in shares
    ]
