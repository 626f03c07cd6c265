"""Saving approvals: the customer's of the work, the payer's of an amount; and their section on a job's page."""

from collections.abc import Mapping
from dataclasses import dataclass

from flask import redirect, render_template, request
from sqlalchemy.orm import Session

from shopbook.queries.customers import get_customer, list_payers
from shopbook.queries.money.job_page import JobPage
from shopbook.queries.money.owed import risks_in
from shopbook.queries.money.payers import payer_names
from shopbook.queries.money.quotes import is_main
from shopbook.queries.money.whose import payers_who_agreed, readings_of
from shopbook.services.money.approvals import agree_quote
from shopbook.trade.agreeing.words import ApprovalMeans, Party
from shopbook.trade.billing.payers import EXCESSES
from shopbook.trade.car.pictures import KeptPicture
from shopbook.web.money.approval_rows import approval_rows
from shopbook.web.money.blueprint import blueprint, job_url, tax_url
from shopbook.web.money.forms import ApprovalForm, PayerApprovalForm
from shopbook.web.money.quote_known import Known, read_quote
from shopbook.web.money.quote_view import quote_paper
from shopbook.web.money.said import given_now, offer_call, said_with, sent_picture
from shopbook.web.money.ticked import Ticked, refuse_other_total, sum_ticked
from shopbook.web.parts import (
    Act,
    Answer,
    act_by_form,
    choices,
    does,
    key_or_none,
    keys_among,
    needs,
    reader,
)
from shopbook.web.parts.approving import SOMEBODY, approver, customer_choices, means_meant
from shopbook.web.parts.frame import is_before_tax
from shopbook.web.parts.owing import named_sums
from shopbook.web.parts.sections import Where, job_section


@dataclass(frozen=True, slots=True)
class WhoIsAsked:
    """What the form of a customer's approval was made from: who is asked at which number, and the total."""

    name: str
    phone: str
    can_pay: bool
    ticked: Ticked


@blueprint.route("/quotes/<int:quote_id>/approval", methods=["GET", "POST"])
@needs("money", "change")
def approval(quote_id: int) -> Answer:
    known = read_quote(reader(), quote_id)
    if is_before_tax():
        return redirect(tax_url(request.path), 303)
    form, asked = _asked_form(known)
    shown = {"quote": known.quote, "job": known.job, "paper": quote_paper(known), "asked": asked}
    if "again" in request.form:
        form.signature.data = ""
        return render_template("money/approval.html", form=form, known=known, **shown)
    picture = sent_picture(form.picture)
    said = "Customer’s approval saved."
    keep = does(lambda act: _agree_customer(act, known, form, picture, asked), job_url(known.job.number), said)
    return act_by_form(form, "money/approval.html", keep, known=known, **shown)


def _asked_form(known: Known) -> tuple[ApprovalForm, WhoIsAsked]:
    form = ApprovalForm(data=_usual(known))
    form.groups.choices = choices({str(group.id): group.title for group in known.quote.groups})
    customer = known.job.customer
    asked = WhoIsAsked(
        customer.name if customer else "",
        customer.phone if customer else "",
        known.has_other_payer and not is_main(known.quote),
        sum_ticked(known, keys_among(form.groups.data)),
    )
    form.whose.choices = customer_choices(asked.name)
    offer_call(form)
    return form, asked


def _agree_customer(act: Act, known: Known, form: ApprovalForm, picture: KeptPicture | None, asked: WhoIsAsked) -> None:
    refuse_other_total(asked.ticked, form)
    agree_quote(
        act,
        known.quote.id,
        party=Party.CUSTOMER,
        taken_group_ids=keys_among(form.groups.data),
        means=means_meant(form.means.data, form.signature.data, form.said_by.data),
        customer_pays=bool(form.customer_pays.data) and asked.can_pay,
        signature=(form.signature.data or "") if form.means.data == ApprovalMeans.SIGNED else "",
        said_by=approver(form.whose.data, form.said_by.data, asked.name),
        number_called=(form.number_called.data or "").strip() or asked.phone,
        **said_with(act, known.job.id, form, picture),
    )


def _usual(known: Known) -> dict[str, object]:
    """What the form begins with; an address may name other items, for which the total is then asked."""
    taken = known.taken or {group.id for group in known.quote.groups if not group.choice}
    asked = request.args.getlist("groups") if "ticked" in request.args else [str(group_id) for group_id in taken]
    return {"revision": known.quote.revision, "groups": asked} | given_now()


@blueprint.route("/quotes/<int:quote_id>/payer-approval", methods=["GET", "POST"])
@needs("money", "change")
def payer_approval(quote_id: int) -> Answer:
    known = read_quote(reader(), quote_id)
    if is_before_tax():
        return redirect(tax_url(request.path), 303)
    people = _other_payers(known)
    alone = next(iter(people)) if len(people) == 1 else ""
    form = PayerApprovalForm(data={"revision": known.quote.revision, "customer": alone} | given_now())
    form.customer.choices = choices(({} if alone else {"": "choose"}) | people)
    offer_call(form)
    picture = sent_picture(form.picture)
    said = "Payer’s approval saved."
    keep = does(lambda act: _agree_payer(act, known, form, picture, people), job_url(known.job.number), said)
    # What each payer but the customer bears by the split rule, and whose excess comes off, shown beside the fields.
    offers = named_sums((row.payer.name, row.gross_minor) for row in known.shares if not row.payer.is_customer)
    rows = (row.payer for row in known.shares if row.payer.rule in EXCESSES and is_main(known.quote))
    shown = {"offers": offers, "excess": named_sums((payer.name, payer.amount_minor) for payer in rows)}
    return act_by_form(form, "money/payer_approval.html", keep, known=known, quote=known.quote, job=known.job, **shown)


def _agree_payer(
    act: Act, known: Known, form: PayerApprovalForm, picture: KeptPicture | None, people: Mapping[str, str]
) -> None:
    who = str(form.customer.data or "")
    agree_quote(
        act,
        known.quote.id,
        party=Party.PAYER,
        taken_group_ids=known.taken or (),
        means=str(form.means.data),
        amount_minor=form.amount.data,
        repair_total_minor=form.repair_total.data,
        excess_minor=form.excess.data,
        customer_id=key_or_none(who) if who in people else None,
        said_by=(form.said_by.data or "").strip(),
        number_called=(form.number_called.data or "").strip() or _payer_phone(act, key_or_none(who)),
        **said_with(act, known.job.id, form, picture),
    )


def _other_payers(known: Known) -> dict[str, str]:
    """Those named for the job; without any, whoever pays for other people's cars."""
    named = [payer.customer for payer in known.named if payer.customer and not payer.is_customer]
    others = named or list_payers(reader())
    return {str(one.id): one.called for one in others} | {SOMEBODY: "someone else, named below"}


def _payer_phone(act: Act, customer_id: int | None) -> str:
    return get_customer(act.session, customer_id).phone if customer_id else ""


@job_section("money/_approval_section.html", Where.SIDE, order=10)
def approval_section(session: Session, page: JobPage) -> Mapping[str, object] | None:
    """The quotes of a job and who has approved them."""
    job, accounts = page.job, page.accounts
    quotes, agreed = accounts.approvals.quotes.get(job.id, []), accounts.approvals.agreed[job.id]
    payers = payers_who_agreed(session, accounts.payers[job.id], agreed)
    wants_payer, given = accounts.has_other_payer(job.id), accounts.approvals.given.get(job.id, [])
    whose = job.customer.id if job.customer else 0
    before = {
        approval.customer_id or 0
        for approval in given
        if approval.party == Party.CUSTOMER and approval.whose_id != whose
    } - {0}
    names = payer_names(session, before)
    return {
        "quotes": quotes,
        "rows": approval_rows(quotes, given, payers, names, wants_payer=wants_payer),
        "risks": risks_in(accounts).get(job.id, ()),
        "unread": [row for row in readings_of(payers, agreed) if row.is_open and job.settled_at is None],
        "job": job,
    }
