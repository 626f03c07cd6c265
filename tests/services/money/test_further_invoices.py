"""A further invoice holds only what was agreed after the first: once each line, deposit and excess, within the yes."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, InvoicePayer
from shopbook.queries.money.invoices import get_invoice, payer_standings
from shopbook.queries.money.owed import job_stands
from shopbook.services.act import Act
from shopbook.services.jobs.parts import add_part
from shopbook.services.money.credits import credit_invoice
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.hand_over import hand_over, let_go
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.services.shop.rates import set_settings
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.permissions import Actor
from shopbook.trade.settings import SettingName
from tests.asking import list_to_invoice
from tests.makers import make_customer
from tests.makers.billing import ARCH, DOOR, QUARTER, add_quote, make_job, name_payer, prove, say_pays, set_tax

LATER = timedelta(hours=2)


def later(act: Act, times: int) -> Act:
    return replace(act, moment=act.moment + times * LATER)


def invoiced_job(act: Act, **given: object) -> tuple[Job, Invoice]:
    """The quarter agreed and invoiced: 623.00 before tax, 640.08 with it."""
    job = make_job(act.session, act.moment)
    add_quote(act.session, job, job.opened_at, [QUARTER], **given)
    job.ready_at = act.moment
    act.session.flush()
    return job, issue_invoice(act, job.id)


def shares(session: Session, invoice: Invoice) -> list[int]:
    rows = select(InvoicePayer).where(InvoicePayer.invoice_id == invoice.id).order_by(InvoicePayer.id)
    return [row.share_minor for row in session.scalars(rows)]


def test_an_extra_agreed_after_the_invoice_comes_on_a_further_one_alone(
    session: Session, now: datetime, act: Act
) -> None:
    job, first = invoiced_job(act)
    add_quote(session, job, now + LATER, [ARCH], kind="extra")
    second = get_invoice(session, issue_invoice(later(act, 2), job.id).id)
    assert (first.number, second.number) == (1, 2)
    assert (second.net_minor, second.tax_minor, second.gross_minor) == (4000, 112, 4112)
    assert [line.words for line in second.lines] == ["Body work", "Materials"]
    assert {line.group_title for line in second.lines} == {"Extra work · Behind the wheel arch"}
    frozen = second.frozen
    assert ["Follows", "invoice 1 of November 5, 2026"] in frozen["facts"]
    with pytest.raises(Conflict, match="bills everything approved"):
        issue_invoice(later(act, 2), job.id)
    prove(session)


def test_the_day_of_supply_of_later_work_is_not_the_day_the_car_was_ready_before_it(
    session: Session, now: datetime, act: Act
) -> None:
    job, first = invoiced_job(act)
    add_quote(session, job, now + 24 * LATER, [ARCH], kind="extra")
    second = issue_invoice(later(act, 24), job.id)
    assert (first.supply_on, second.supply_on) == (date(2026, 11, 5), date(2026, 11, 7))


def test_the_job_says_what_is_agreed_and_on_no_invoice_and_the_keys_wait_for_it(
    session: Session, now: datetime, act: Act
) -> None:
    job, _ = invoiced_job(act)
    take_payment(act, job_id=job.id, amount_minor=64008, means="card")
    day = now.date()
    assert job_stands(session, [job.id], day)[job.id].rest_minor == 0
    assert list_to_invoice(session, day) == []
    add_quote(session, job, now + LATER, [ARCH], kind="extra")
    stands = job_stands(session, [job.id], day)[job.id]
    assert (stands.is_invoiced, stands.rest_minor, stands.owed_minor) == (True, 4112, 0)
    assert [row.id for row in list_to_invoice(session, day)] == [job.id]
    with pytest.raises(RuleBroken, match=r"not invoiced yet: \$41\.12"):
        hand_over(later(act, 1), job.id)
    issue_invoice(later(act, 2), job.id)
    assert job_stands(session, [job.id], day)[job.id].owed_minor == 4112
    assert list_to_invoice(session, day) == []
    take_payment(later(act, 2), job_id=job.id, amount_minor=4112, means="card")
    hand_over(later(act, 2), job.id)
    assert job.settled_at is not None
    prove(session)


def test_a_car_let_go_before_all_is_invoiced_stays_open_until_it_is(session: Session, now: datetime, act: Act) -> None:
    job, _ = invoiced_job(act)
    take_payment(act, job_id=job.id, amount_minor=64008, means="card")
    add_quote(session, job, now + LATER, [ARCH], kind="extra")
    let_go(later(act, 1), job.id, "comes back for the paper")
    assert job.settled_at is None
    assert [row.id for row in list_to_invoice(session, now.date())] == [job.id]
    issue_invoice(later(act, 2), job.id)
    take_payment(later(act, 2), job_id=job.id, amount_minor=4112, means="card")
    assert job.settled_at is not None


def test_a_car_let_go_without_any_invoice_is_not_settled(session: Session, now: datetime, act: Act) -> None:
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [QUARTER])
    job.ready_at = now
    let_go(act, job.id, "in a hurry")
    assert job.settled_at is None
    assert [row.id for row in list_to_invoice(session, now.date())] == [job.id]
    invoice = issue_invoice(act, job.id)
    credit_invoice(act, invoice.id, reason="a favour after all")
    assert job.settled_at is not None, "what was credited whole is done with"


def test_the_excess_is_asked_for_once(session: Session, now: datetime, act: Act) -> None:
    person, insurer = make_customer(session, "Ida Lund"), make_customer(session, "Meadow", "", kind="insurer")
    job = make_job(session, now, person)
    add_quote(session, job, job.opened_at, [QUARTER])
    name_payer(session, job, person, "excess", 25000)
    name_payer(session, job, insurer, "rest")
    say_pays(session, job, insurer, 39008, now)
    first = issue_invoice(act, job.id)
    add_quote(session, job, now + LATER, [ARCH], kind="extra")
    say_pays(session, job, insurer, 4112, now + LATER, "extra")
    second = issue_invoice(later(act, 2), job.id)
    assert (shares(session, first), shares(session, second)) == ([25000, 39008], [0, 4112])
    credit_invoice(later(act, 2), first.id, reason="wrong address")
    third = issue_invoice(later(act, 3), job.id)
    assert shares(session, third) == [25000, 39008], "with the first credited the excess stands on none"
    prove(session)


def test_a_registered_owner_pays_the_tax_of_the_further_invoice_but_no_second_excess(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    """HMRC VIT13500: the repair is supplied to the owner, who pays its tax; the insurer the net less one excess."""
    set_tax(session, "vat", "VAT", 20000, ["labour"], date(2026, 1, 1), now)
    person = make_customer(session, "Rowan Builders", is_tax_registered=True)
    insurer = make_customer(session, "Meadow", "", kind="insurer")
    job = make_job(session, now, person)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 100000)])], code="vat")
    name_payer(session, job, person, "excess_and_tax", 10000)
    name_payer(session, job, insurer, "rest")
    say_pays(session, job, insurer, 90000, now)
    issue_invoice(act, job.id)
    add_quote(session, job, now + LATER, [("car", "More", [("labour", "More", 5000)])], code="vat", kind="extra")
    say_pays(session, job, insurer, 5000, now + LATER, "extra")
    assert shares(session, issue_invoice(later(act, 2), job.id)) == [1000, 5000]
    prove(session)


def test_a_taxed_deposit_is_taken_off_once(session: Session, now: datetime, act: Act) -> None:
    set_tax(session, "vat", "VAT", 20000, ["labour"], date(2026, 1, 1), now)
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [("car", "Repair", [("labour", "Repair", 100000)])], code="vat")
    take_deposit(act, job.id, amount_minor=30000, means="card", treatment="taxed")
    first = issue_invoice(act, job.id)
    add_quote(session, job, now + LATER, [("car", "More", [("labour", "More", 5000)])], code="vat", kind="extra")
    second = issue_invoice(later(act, 2), job.id)
    assert (first.gross_minor, second.gross_minor) == (90000, 6000)
    deposit = session.scalars(select(Invoice).where(Invoice.kind == "deposit")).one()
    with pytest.raises(RuleBroken, match="taken off invoice 2"):
        credit_invoice(later(act, 2), deposit.id, reason="slip")
    credit_invoice(later(act, 2), first.id, reason="slip")
    third = issue_invoice(later(act, 3), job.id)
    assert third.gross_minor == 90000, "the deposit goes with the invoice that holds the work"
    prove(session)


def test_what_was_credited_as_goodwill_is_not_billed_again(session: Session, now: datetime, act: Act) -> None:
    job, first = invoiced_job(act)
    credit_invoice(act, first.id, reason="goodwill", amount_minor=5000)
    with pytest.raises(Conflict):
        issue_invoice(act, job.id)
    add_quote(session, job, now + LATER, [ARCH], kind="extra")
    assert issue_invoice(later(act, 2), job.id).net_minor == 4000


def test_what_was_held_is_billed_once_a_later_yes_lets_it_in(session: Session, now: datetime, act: Act) -> None:
    """A part of 40.00 nobody quoted is held; a new version up to a higher sum lets it onto a further invoice."""
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [DOOR], is_estimate=True, up_to_minor=14496)
    add_part(act, job.id, name="Wing liner", cost_minor=3200, price_minor=4000, source="new")
    first = issue_invoice(act, job.id)
    assert first.net_minor == 14000
    with pytest.raises(Conflict):
        issue_invoice(act, job.id)
    add_quote(session, job, now + LATER, [DOOR], is_estimate=True, up_to_minor=20000)
    second = get_invoice(session, issue_invoice(later(act, 2), job.id).id)
    assert [(line.words, line.net_minor) for line in second.lines] == [("Wing liner", 4000)]
    prove(session)


def test_the_allowance_counts_once_over_all_invoices(session: Session, now: datetime, act: Act) -> None:
    """15 % over 144.96 lets one part of 20.00 in; a second one would pass it, on whatever paper."""
    set_settings(act, {SettingName.ALLOWANCE_PERMILLE: 150}, date(2026, 1, 1))
    job = make_job(session, now)
    add_quote(session, job, job.opened_at, [DOOR])
    add_part(act, job.id, name="Clip", cost_minor=900, price_minor=2000, source="new")
    assert issue_invoice(act, job.id).net_minor == 16000
    add_part(act, job.id, name="Strip", cost_minor=900, price_minor=1000, source="new")
    with pytest.raises(Conflict, match="bills everything approved"):
        issue_invoice(later(act, 1), job.id)


def test_work_that_is_invoiced_and_not_agreed_any_more_asks_for_a_credit_first(
    session: Session, now: datetime, act: Act
) -> None:
    job, first = invoiced_job(act)
    add_quote(session, job, now + LATER, [("right_quarter", "Quarter, anew", [("labour", "All of it", 50000)])])
    with pytest.raises(RuleBroken, match="is invoiced but no longer approved"):
        issue_invoice(later(act, 2), job.id)
    assert job_stands(session, [job.id], now.date())[job.id].rest_minor == 0
    credit_invoice(later(act, 2), first.id, reason="another price")
    assert issue_invoice(later(act, 2), job.id).net_minor == 50000
    prove(session)


def test_a_lower_price_for_the_same_line_beside_new_work_is_not_charged_on_top(
    session: Session, now: datetime, act: Act
) -> None:
    job, _ = invoiced_job(act)
    title, lines = QUARTER[1], [("labour", "Body work", 20000), ("materials", "Materials", 21350)]
    add_quote(session, job, now + LATER, [("right_quarter", title, lines), ARCH])
    with pytest.raises(RuleBroken, match="more than was approved"):
        issue_invoice(later(act, 2), job.id)


@pytest.mark.parametrize("is_inside", [True, False])
def test_a_price_with_tax_inside_holds_to_the_cent_on_both_invoices(
    session: Session, now: datetime, act: Act, is_inside: bool
) -> None:
    set_tax(session, "vat", "VAT", 7700, ["labour"], date(2026, 1, 1), now)
    job = make_job(session, now)
    lines = [("labour", f"Line {place}", amount) for place, amount in enumerate((3333, 3334, 3333, 4999, 1))]
    add_quote(session, job, job.opened_at, [("car", "Repair", lines)], code="vat", has_tax_inside=True)
    first = issue_invoice(act, job.id)
    more = [("car", "More", [("labour", "More", 9999)])]
    add_quote(session, job, now + LATER, more, code="vat", kind="extra", has_tax_inside=is_inside)
    second = issue_invoice(later(act, 2), job.id)
    assert first.gross_minor == 15000
    assert second.gross_minor == (9999 if is_inside else 10769)
    prove(session)


def test_a_discount_is_given_once_and_an_extra_brings_its_own(session: Session, now: datetime, act: Act) -> None:
    job, first = invoiced_job(act, discount_minor=6230)
    assert first.net_minor == 56070
    add_quote(session, job, now + LATER, [ARCH], kind="extra", discount_minor=400)
    second = issue_invoice(later(act, 2), job.id)
    assert second.net_minor == 3600
    prove(session)


def test_a_payment_goes_to_the_older_invoice_first_and_what_is_over_to_the_further_one(
    session: Session, now: datetime, act: Act
) -> None:
    job, first = invoiced_job(act)
    add_quote(session, job, now + LATER, [ARCH], kind="extra")
    second = issue_invoice(later(act, 2), job.id)
    take_payment(later(act, 2), job_id=job.id, amount_minor=65000, means="card")
    notes = second.frozen["notes"]
    assert notes == [
        "This is only for work that invoice 1 does not include, and is due as well.",
        "Approved Nov 2, 2026, 12:00 pm by Ines Okafor: by text message.",
        "Approved Nov 5, 2026, 2:00 pm by Ines Okafor: by text message.",
    ]
    owed = {key: rows[0].owed_minor for key, rows in payer_standings(session, [first.id, second.id]).items()}
    assert owed == {first.id: 0, second.id: 64008 + 4112 - 65000}
    prove(session)


def test_what_was_paid_too_much_pays_the_further_invoice_and_is_said_so(
    session: Session, now: datetime, act: Act
) -> None:
    job, _ = invoiced_job(act)
    take_payment(act, job_id=job.id, amount_minor=65000, means="card")
    add_quote(session, job, now + LATER, [ARCH], kind="extra")
    second = issue_invoice(later(act, 2), job.id)
    assert payer_standings(session, [second.id])[second.id][0].owed_minor == 4112 - 992
    note = "$9.92 of credit used from the payment of November 5, 2026, card, receipt 1."
    assert note in second.frozen["notes"]
    prove(session)


def test_the_further_invoice_has_the_tax_of_its_own_day(session: Session, now: datetime, act: Act) -> None:
    """The rate rises on the 6th: the first keeps 8 %, what is supplied after that is at 10 %."""
    job, first = invoiced_job(act)
    set_tax(session, "sales", "Sales tax", 10000, ["materials"], date(2026, 11, 6), now)
    add_quote(session, job, now + 24 * LATER, [ARCH], kind="extra")
    second = issue_invoice(later(act, 25), job.id, supply_on=date(2026, 11, 7))
    assert (first.tax_minor, second.tax_minor) == (1708, 140)
