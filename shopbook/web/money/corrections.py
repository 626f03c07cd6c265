"""Corrections: a payment moved to another invoice, an unpaid share written off or charged to another payer."""

from collections.abc import Mapping, Sequence

from flask import g, url_for

from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.billable import billing_of
from shopbook.queries.money.debts import debt_tax, desk_limit
from shopbook.queries.money.invoices import PayerStanding, get_invoice, payer_standings
from shopbook.queries.money.owed import list_owed
from shopbook.queries.money.passing import Approved, list_passed, read_approved
from shopbook.queries.money.payers import payer_names
from shopbook.queries.money.payments import allocated_by_invoice, free_of, get_payment
from shopbook.services.money.allocations import move_allocation
from shopbook.services.money.rests import move_rest as charge_rest
from shopbook.services.money.write_offs import write_off as give_up
from shopbook.trade.errors import RuleBroken
from shopbook.web.money.blueprint import blueprint
from shopbook.web.money.correction_forms import MoveRestForm
from shopbook.web.money.invoice_forms import MoveForm, WriteOffForm
from shopbook.web.money.invoice_view import KINDS, paper_of
from shopbook.web.parts import (
    Act,
    Answer,
    Done,
    act_by_form,
    choices,
    key_or_none,
    money,
    needs,
    reader,
    shop_now,
    today,
)
from shopbook.web.parts.rows import Invoice


@blueprint.route("/payments/<int:payment_id>/move", methods=["GET", "POST"])
@needs("money", "change")
def move(payment_id: int) -> Answer:
    payment, form = get_payment(reader(), payment_id), _move_form(payment_id)

    def doing(act: Act) -> Done:
        move_allocation(
            act,
            payment_id,
            from_invoice_id=int(form.source.data) if form.source.data else None,
            to_invoice_id=int(form.target.data) if form.target.data else None,
            amount_minor=form.amount.data or 0,
            reason=form.reason.data or "",
        )
        return Done(url_for("money.payment", payment_id=payment_id), "Payment moved.")

    return act_by_form(form, "money/move.html", doing, payment=payment)


def _move_form(payment_id: int) -> MoveForm:
    """The form with where the money stands now and where it could go."""
    form = MoveForm()
    sources = {"": f"unused credit, {money(free_of(reader(), payment_id))}"}
    for (paper_id, _), amount in allocated_by_invoice(reader(), payment_id).items():
        sources[str(paper_id)] = f"{_paper_words(get_invoice(reader(), paper_id))}, {money(amount)}"
    targets = {"": "unused credit"} | {
        str(line.invoice.id): f"{_paper_words(line.invoice)}, {line.payer}, {money(line.owed_minor)} still to pay"
        for line in list_owed(reader())
    }
    form.source.choices, form.target.choices = choices(sources), choices(targets)
    return form


def _paper_words(paper: Invoice) -> str:
    return f"{KINDS[paper.kind]} {paper.number}"


@blueprint.route("/invoices/<int:invoice_id>/write-off", methods=["GET", "POST"], defaults={"payer_id": 0})
@blueprint.route("/invoices/<int:invoice_id>/write-off/<int:payer_id>", methods=["GET", "POST"])
@needs("money", "change")
def write_off(invoice_id: int, payer_id: int) -> Answer:
    found, who = get_invoice(reader(), invoice_id), payer_id or None
    rows = payer_standings(reader(), [invoice_id])[invoice_id]
    owed = _owed_by(rows, who)
    most = owed if g.actor.may("money", "write_off") else _left_for_desk(rows, who, owed)
    form = WriteOffForm(data={"amount": most or None})

    def doing(act: Act) -> Done:
        give_up(act, invoice_id, customer_id=who, reason=form.reason.data or "", amount_minor=form.amount.data)
        return Done(url_for("money.invoice", invoice_id=invoice_id), "Debt written off. The reason is saved.")

    shown = {"invoice": found, "paper": paper_of(found), "owed": owed, "most": most}
    tax = debt_tax(reader(), found, rows, who, owed)
    return act_by_form(form, "money/write_off.html", doing, tax=tax, **shown)


def _owed_by(rows: Sequence[PayerStanding], payer_id: int | None) -> int:
    return sum(row.owed_minor for row in rows if row.customer_id == payer_id)


def _left_for_desk(rows: Sequence[PayerStanding], payer_id: int | None, owed: int) -> int:
    done = sum(row.written_off_minor for row in rows if row.customer_id == payer_id)
    return max(0, min(owed, desk_limit(reader(), today()) - done))


@blueprint.route("/invoices/<int:invoice_id>/charge/<int:payer_id>", methods=["GET", "POST"])
@needs("money", "change")
def move_rest(invoice_id: int, payer_id: int) -> Answer:
    found, who = get_invoice(reader(), invoice_id), payer_id or None
    owed = _owed_by(payer_standings(reader(), [invoice_id])[invoice_id], who)
    billing = billing_of(shop_now().on(found.supply_on))
    approved = read_approved(reader(), get_job_by_id(reader(), found.job_id), billing)
    form = MoveRestForm(data={"amount": owed or None})
    others = _other_payers(approved, found, who)
    form.to.choices = choices({str(key): name for key, name in others.items()})

    def doing(act: Act) -> Done:
        to, amount = _chosen(form.to.data, others), form.amount.data or 0
        said, reason = form.approvals.form.said(), form.reason.data or ""
        charge_rest(act, invoice_id, from_id=who, to_id=to, amount_minor=amount, reason=reason, approval=said)
        return Done(url_for("money.invoice", invoice_id=invoice_id), "Charged to another payer.")

    passed = list_passed(reader(), approved, dict.fromkeys(others, owed))
    shown = {"invoice": found, "paper": paper_of(found), "owed": owed, "passed": passed}
    return act_by_form(form, "money/move_rest.html", doing, **shown)


def _chosen(typed: str | None, others: Mapping[int, str]) -> int:
    payer_id = key_or_none(typed)
    if payer_id is None or payer_id not in others:
        raise RuleBroken("Choose who pays it.", "to")
    return payer_id


def _other_payers(approved: Approved, found: Invoice, payer_id: int | None) -> dict[int, str]:
    """Whom a rest can be charged to: the customer first, then the other payers of the job and the invoice."""
    payers = sorted(approved.payers, key=lambda row: not row.is_customer)
    ids = [*(row.customer_id for row in payers), found.customer_id, *(row.customer_id for row in found.payers)]
    wanted = [key for key in dict.fromkeys(ids) if key is not None and key != payer_id]
    names = payer_names(reader(), wanted)
    return {key: names[key] for key in wanted}
