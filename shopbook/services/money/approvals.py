"""Approvals are saved: the customer's of the work, the payer's of an amount; who was asked, and when."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Approval, ApprovalGroup, Quote
from shopbook.queries.customers import get_customer
from shopbook.queries.jobs.damage import get_picture
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.approvals import agreed_quotes
from shopbook.queries.money.payers import payers_of
from shopbook.queries.money.quotes import first_ways, get_quote, sum_of_quote, with_whole_car
from shopbook.queries.money.whose import shares_of_quote
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.people import get_person
from shopbook.services.act import Act
from shopbook.services.jobs.jobs import mark_agreed, plan_days
from shopbook.services.money.allocations import settle
from shopbook.services.money.approved_work import keep_approved_work
from shopbook.services.money.quote_groups import check_amount
from shopbook.services.money.quotes import CHANGED_MEANWHILE, ask_party, log_quote
from shopbook.services.money.said_when import said_when
from shopbook.services.shop.taxes import want_tax
from shopbook.trade.agreeing.signatures import check_signature
from shopbook.trade.agreeing.words import ASKED_WORDS, MEANS_WORDS, ApprovalMeans, Party, QuoteKind
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.planning.groups import WHOLE_CAR_GROUP

LATE = "This {estimate} has expired. Check the price, then tick the box to accept it anyway."


def agree_quote(
    act: Act,
    quote_id: int,
    *,
    party: str,
    taken_group_ids: Collection[int] = (),
    means: str,
    said_by: str,
    words: str = "",
    signature: str = "",
    picture_id: int | None = None,
    amount_minor: int | None = None,
    repair_total_minor: int | None = None,
    excess_minor: int | None = None,
    customer_pays: bool = False,
    customer_id: int | None = None,
    still_holds: bool = False,
    revision: int | None = None,
    said_at: datetime | None = None,
    number_called: str = "",
    taken_by_id: int | None = None,
) -> Approval:
    """Save one approval of a quote that was given. The newest of a party counts; earlier ones stay in the book.

    The customer accepts groups and declines the rest: their stages are agreed; with `customer_pays` the customer agrees
    to pay an extra besides any other payer. The payer agrees to pay `amount_minor` with tax (without one: its share of
    what the customer accepted, or of the whole quote) and starts no work; an insurer's approved repair total and its
    excess are kept beside it. An approval of an extra is for that extra alone. It was given at `said_at` (without one:
    now), and the quote's last day and the approved work are reckoned from then. One by phone keeps the number called
    and who of the shop took the call (whoever saves it, unless named). Conflict for a version that was replaced, or
    changed since `revision`; RuleBroken without a name or a group, for two ways of one thing, a picture of another
    job, a signature that is none, a phone without a number, a quote past its day unless it `still_holds`, a moment
    that `said_when` refuses, or before the shop has set its tax.
    """
    quote, job = _answerable(act, quote_id, revision)
    when = said_when(act, quote, said_at)
    on = day_of(act.session, when)
    _refuse_late(quote, on, still_holds=still_holds)
    who, how = Party(party), ApprovalMeans(means)
    taken = _taken(quote, taken_group_ids, who)
    path = check_signature(signature)
    _check_proof(act.session, job, said_by, how, path, picture_id)
    by_phone = _call(act, how, number_called, taken_by_id)
    if customer_id is not None:
        get_customer(act.session, customer_id)
    payer_id = _whose(act.session, job, who, customer_id)
    typed = Figures(who, payer_id, amount_minor, repair_total_minor, excess_minor, customer_pays)
    approval = Approval(
        job_id=job.id,
        quote_id=quote.id,
        party=who,
        customer_id=payer_id,
        means=how,
        said_by=said_by.strip()[:200],
        **_sums(act.session, job, quote, taken, typed),
        words=words.strip(),
        signature=path,
        picture_id=picture_id,
        at=act.moment,
        on=on,
        person_id=act.actor.person_id,
        said_at=when,
        **by_phone,
    )
    act.session.add(approval)
    act.session.flush()
    for group in quote.groups:
        act.session.add(ApprovalGroup(approval_id=approval.id, group_id=group.id, is_taken=group.id in taken))
    quote.answered_at = quote.answered_at or when
    # The approval is in the book before anything asks what is agreed: the work and the job's state are read from it.
    act.session.flush()
    if who is Party.CUSTOMER:
        _let_work_begin(act, job, quote, taken, when)
        keep_approved_work(act, job, quote, approval, taken)
        settle(act.session, act.moment, job)
    else:
        quote.payer_declined_at = None
    whose = "Customer" if who is Party.CUSTOMER else "Payer"
    log_quote(act, "agree_quote", quote, f"{whose} approved version {quote.version}, {MEANS_WORDS[how]}")
    return approval


def ask_again(act: Act, quote_id: int, party: str, how: str = "") -> Quote:
    """Keep that the quote reached customer or payer, who are asked from now: it was sent, said or shown (`how`).

    RuleBroken for a draft.
    """
    quote = get_quote(act.session, quote_id)
    if quote.given_at is None:
        raise RuleBroken("Issue the {estimate} first, then ask for approval.")
    ask_party(act, quote, Party(party), ASKED_WORDS.get(how, ""))
    return quote


def _refuse_stale(quote: Quote, revision: int | None) -> None:
    if quote.replaced_at is not None:
        raise Conflict("This version was replaced or withdrawn. Use the newest one.")
    if revision is not None and quote.revision != revision:
        raise Conflict(CHANGED_MEANWHILE)
    if quote.given_at is None:
        raise RuleBroken("Issue the {estimate} first, then save its approval.")


def _answerable(act: Act, quote_id: int, revision: int | None) -> tuple[Quote, Job]:
    quote = get_quote(act.session, quote_id)
    job = get_job_by_id(act.session, quote.job_id)
    _refuse_stale(quote, revision)
    if job.called_off_at is not None:
        raise RuleBroken("This job is {cancelled}. Reopen it first.")
    if quote.kind == QuoteKind.EXTRA and job.agreed_at is None:
        raise RuleBroken("The {estimate} itself is not approved yet. Get that approval first.")
    want_tax(act.session, act.day)
    return quote, job


def _refuse_late(quote: Quote, on: date, *, still_holds: bool) -> None:
    if quote.valid_until_on is not None and quote.valid_until_on < on and not still_holds:
        raise RuleBroken(LATE, "still_holds")


def _call(act: Act, means: ApprovalMeans, number: str, taken_by_id: int | None) -> dict[str, str | int | None]:
    """Of an approval by phone the number and who took the call, as 16 CCR 3354 of California asks; else nothing."""
    if means is not ApprovalMeans.PHONE:
        return {}
    if not number.strip():
        raise RuleBroken("Enter the phone number you called, or the one they called from.", "number_called")
    if taken_by_id is not None:
        get_person(act.session, taken_by_id)
    return {"number_called": number.strip()[:200], "taken_by_id": taken_by_id or act.actor.person_id}


def _taken(quote: Quote, group_ids: Collection[int], party: Party) -> set[int]:
    """The groups meant: the whole car's goes with any; a payer who names none means all."""
    known = {group.id for group in quote.groups}
    if not set(group_ids) <= known:
        raise Conflict("That item is not on this version. Load the page again.")
    taken = set(group_ids)
    if not taken and party is Party.PAYER:
        return first_ways(quote)
    if not taken:
        raise RuleBroken("Tick at least one approved item.", "groups")
    return with_whole_car(quote, taken)


def _check_proof(
    session: Session, job: Job, said_by: str, means: ApprovalMeans, signature: str, picture_id: int | None
) -> None:
    if not said_by.strip():
        raise RuleBroken("Enter the name of the person who approved.", "said_by")
    if means is ApprovalMeans.SIGNED and not signature:
        raise RuleBroken("Ask for a signature, or choose another way of approving.", "signature")
    if picture_id is not None and get_picture(session, picture_id).job_id != job.id:
        raise RuleBroken("That picture belongs to another job.", "picture")


def _whose(session: Session, job: Job, party: Party, customer_id: int | None) -> int | None:
    """Who approved: as named, else the customer, else the one other payer of the job."""
    if customer_id is not None or party is Party.CUSTOMER:
        return customer_id or job.customer_id
    named = [payer.customer.id for payer in payers_of(session, job) if payer.customer and not payer.is_customer]
    return named[0] if len(named) == 1 else None


@dataclass(frozen=True, slots=True)
class Figures:
    """Whose approval it is, and its sums as typed; None where nothing was."""

    party: Party
    customer_id: int | None
    amount_minor: int | None
    repair_total_minor: int | None
    excess_minor: int | None
    customer_pays: bool


def _sums(session: Session, job: Job, quote: Quote, taken: set[int], typed: Figures) -> dict[str, int | None]:
    """The sums that are kept with an approval: what it is for, and what its party pays."""
    if typed.party is Party.CUSTOMER:
        whole = sum_of_quote(session, quote, taken).most_minor
        return {"amount_minor": whole, "pays_minor": whole if typed.customer_pays else None}
    pays = _share(session, job, quote, taken, typed.customer_id) if typed.amount_minor is None else typed.amount_minor
    check_amount(pays, "amount")
    check_amount(typed.repair_total_minor or 0, "repair_total")
    check_amount(typed.excess_minor or 0, "excess")
    if typed.repair_total_minor is not None and pays > typed.repair_total_minor:
        raise RuleBroken("The payer cannot pay more than the repair total. Check both amounts.", "amount")
    return {
        "amount_minor": pays,
        "repair_total_minor": typed.repair_total_minor,
        "excess_minor": typed.excess_minor,
        "pays_minor": pays,
    }


def _share(session: Session, job: Job, quote: Quote, taken: set[int], customer_id: int | None) -> int:
    """What a payer bears of what the customer took (before its approval: of what is meant); nobody named: the whole."""
    by_customer = {row.quote.id: {group.id for group in row.taken} for row in agreed_quotes(session, quote.job_id)}
    meant = by_customer.get(quote.id, taken)
    shares = shares_of_quote(session, job, quote, meant)
    own = [row.gross_minor for row in shares if row.payer.customer_id == customer_id and not row.payer.is_customer]
    return own[0] if own else sum(row.gross_minor for row in shares)


def _let_work_begin(act: Act, job: Job, quote: Quote, taken: Collection[int], when: datetime) -> None:
    keys = {group.key for group in quote.groups if group.id in taken}
    left = {group.key for group in quote.groups} - keys - {WHOLE_CAR_GROUP}
    mark_agreed(act.session, act.moment, job, keys, left_keys=left, said_at=when, actor=act.actor)
    if quote.promise_on is not None and job.handed_over_at is None:
        plan_days(act, job.id, job.drop_off_on, job.drop_off_half, quote.promise_on, "")
