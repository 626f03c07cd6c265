"""Saving approvals: the customer's of the work, the payer's of an amount; and their section on a job's page."""

from collections.abc import Mapping
from typing import TypedDict

from flask import redirect, request
from sqlalchemy.orm import Session
from wtforms import FileField

from shopbook.outside.pictures import keep_picture
from shopbook.queries.customers import list_payers
from shopbook.queries.money.job_page import JobPage
from shopbook.queries.money.owed import risks_in
from shopbook.queries.money.payers import payer_names
from shopbook.queries.money.quotes import is_main
from shopbook.queries.money.whose import payers_who_agreed, readings_of
from shopbook.services.jobs.pictures import record_picture
from shopbook.services.money.approvals import agree_quote
from shopbook.trade.agreeing.words import ApprovalMeans, Party
from shopbook.trade.billing.payers import EXCESSES
from shopbook.trade.car.pictures import KeptPicture, PicturePurpose
from shopbook.trade.errors import RuleBroken
from shopbook.web.money.approval_rows import approval_rows
from shopbook.web.money.blueprint import blueprint, job_url, shop_config, tax_url
from shopbook.web.money.forms import ApprovalForm, KeptApprovalForm, PayerApprovalForm
from shopbook.web.money.quote_known import Known, read_quote
from shopbook.web.money.quote_view import quote_paper
from shopbook.web.parts import Act, Answer, act_by_form, choices, does, key_or_none, keys_among, needs, reader
from shopbook.web.parts.frame import is_before_tax
from shopbook.web.parts.owing import named_sums
from shopbook.web.parts.sections import Where, job_section


@blueprint.route("/quotes/<int:quote_id>/approval", methods=["GET", "POST"])
@needs("money", "change")
def approval(quote_id: int) -> Answer:
    known = read_quote(reader(), quote_id)
    if is_before_tax():
        return redirect(tax_url(request.path), 303)
    form = ApprovalForm(data=_usual(known))
    form.groups.choices = choices({str(group.id): group.title for group in known.quote.groups})
    can_pay = known.has_other_payer and not is_main(known.quote)
    picture = sent_picture(form.picture)
    said = "Customer’s approval saved."
    keep = does(lambda act: _agree_customer(act, known, form, picture, can_pay), job_url(known.job.number), said)
    shown = {"quote": known.quote, "job": known.job, "paper": quote_paper(known), "can_pay": can_pay}
    return act_by_form(form, "money/approval.html", keep, known=known, **shown)


def _agree_customer(act: Act, known: Known, form: ApprovalForm, picture: KeptPicture | None, can_pay: bool) -> None:
    agree_quote(
        act,
        known.quote.id,
        party=Party.CUSTOMER,
        taken_group_ids=keys_among(form.groups.data),
        means=_means(form),
        customer_pays=bool(form.customer_pays.data) and can_pay,
        signature=(form.signature.data or "") if form.means.data == ApprovalMeans.SIGNED else "",
        **_said(act, known, form, picture),
    )


def _usual(known: Known) -> dict[str, object]:
    taken = known.taken or {group.id for group in known.quote.groups if not group.choice}
    return {
        "revision": known.quote.revision,
        "groups": [str(group_id) for group_id in taken],
        "said_by": known.job.customer.name if known.job.customer else "",
    }


def _means(form: ApprovalForm) -> str:
    """A name typed with nothing drawn, where a signature was meant: the name is the signature."""
    if form.means.data == ApprovalMeans.SIGNED and not (form.signature.data or "").strip():
        return ApprovalMeans.TYPED
    return str(form.means.data)


@blueprint.route("/quotes/<int:quote_id>/payer-approval", methods=["GET", "POST"])
@needs("money", "change")
def payer_approval(quote_id: int) -> Answer:
    known = read_quote(reader(), quote_id)
    if is_before_tax():
        return redirect(tax_url(request.path), 303)
    people = _other_payers(known)
    form = PayerApprovalForm(data={"revision": known.quote.revision})
    form.customer.choices = choices(people)
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
        **_said(act, known, form, picture),
    )


def _other_payers(known: Known) -> dict[str, str]:
    """Those named for the job; without any, whoever pays for other people's cars."""
    named = [payer.customer for payer in known.named if payer.customer and not payer.is_customer]
    others = named or list_payers(reader())
    return {str(one.id): one.name or one.phone for one in others} | {"": "someone else, named below"}


class Said(TypedDict):
    """What both kinds of approval have: who, in which words, on which picture, at which revision of the quote."""

    said_by: str
    words: str
    still_holds: bool
    revision: int | None
    picture_id: int | None


def _said(act: Act, known: Known, form: KeptApprovalForm, picture: KeptPicture | None) -> Said:
    """What was typed of it, with the picture of the message recorded if one came."""
    purpose = PicturePurpose.MESSAGE
    return Said(
        said_by=(form.said_by.data or "").strip(),
        words=form.words.data or "",
        still_holds=bool(form.still_holds.data),
        revision=form.revision.data,
        picture_id=record_picture(act, known.job.id, picture, purpose=purpose).id if picture else None,
    )


def sent_picture(field: FileField) -> KeptPicture | None:
    """The picture that came with the form, kept on the disk before anything is recorded; a fault goes to its field."""
    sent = field.data
    if not getattr(sent, "filename", ""):
        return None
    try:
        return keep_picture(sent.stream, shop_config().pictures_folder)
    except RuleBroken as broken:
        field.process_errors = [broken.sentence]
        return None


@job_section("money/_approval_section.html", Where.SIDE, order=10, anchor="approval", title="Approvals")
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
