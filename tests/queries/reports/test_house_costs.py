"""What the shop costs beside its jobs, as the book has it: paid hours, fixed costs, fees, and who is not known."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.diary import Absence
from shopbook.models.money import Payment
from shopbook.models.shop import Person, PersonCost
from shopbook.queries.reports.cars_read import read_cars
from shopbook.queries.reports.house_costs import owners_labour, read_house_costs
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.services.money.reversals import Again, reverse_payment
from shopbook.services.shop.fixed_costs import add_fixed_cost, strike_fixed_cost
from shopbook.services.shop.paid_weeks import set_paid_week
from shopbook.services.shop.rates import set_settings
from shopbook.trade.permissions import Actor, Role
from shopbook.trade.results.card_fees import MeansFees
from shopbook.trade.results.paid_hours import PaidTime, PersonPaid
from shopbook.trade.settings import SettingName
from tests.makers import FIRST_DAY, make_person
from tests.makers.billing import make_agreed_job
from tests.makers.floor import make_entry, make_painter, make_work
from tests.makers.shop import forget_costs

FIRST, LAST = date(2026, 11, 1), date(2026, 11, 30)


def read(session: Session) -> Any:
    return read_house_costs(ShopOn(session, LAST), FIRST, LAST)


def person(session: Session, name: str) -> PersonPaid:
    return next(one for one in read(session).wages.people if one.name == name)


def week(act: Act, who: Actor, hours: int, days: Iterable[int] = range(5)) -> None:
    set_paid_week(act, who.person_id or 0, weekly_minutes=hours * 60, weekdays=list(days), from_on=FIRST)


def cost(session: Session, who: Actor, minor: int | None) -> None:
    """What an hour costs since the first day, or nothing said at all."""
    forget_costs(session, who)
    if minor is not None:
        session.add(PersonCost(person_id=who.person_id, cost_minor=minor, from_on=FIRST_DAY))
    session.flush()


def test_a_week_is_paid_over_the_usual_days_on_which_the_shop_opens(session: Session, act: Act) -> None:
    """November 2026 has 21 working days, 13 of them from Monday to Wednesday: 105.0 h and 108.3 h of 25 a week."""
    sam, kim = make_painter(session, "Sam", 3_000), make_painter(session, "Kim", 3_000)
    week(act, sam, 25)
    week(act, kim, 25, (0, 1, 2))
    assert person(session, "Sam").paid == PaidTime(6_300, 315_000)
    assert person(session, "Kim").paid == PaidTime(6_500, 325_000)


def test_time_off_is_paid_unless_marked(session: Session, act: Act) -> None:
    sam = make_painter(session, "Sam", 3_000)
    week(act, sam, 25)
    for day, is_paid in ((9, True), (10, False)):
        absence = Absence(person_id=sam.person_id, on=date(2026, 11, day), minutes_away=1_440, why="", is_paid=is_paid)
        session.add(absence)
    session.flush()
    assert person(session, "Sam").paid.minutes == 6_300 - 300


def test_whoever_nobody_said_anything_of_is_paid_by_attendance(session: Session, act: Act) -> None:
    """Two hours on a stage at 30.00: here, paid and on the job; no job carries nothing."""
    sam = make_painter(session, "Sam", 3_000)
    make_entry(session, sam, make_work(session), "9:00", "11:00")
    one = person(session, "Sam")
    assert (one.paid.minutes >= 120, one.clocked_minor) == (True, 6_000)
    assert read(session).wages.no_job_minor == one.paid.wages_minor - 6_000


def test_wages_no_job_carries_with_on_costs(session: Session, act: Act) -> None:
    sam = make_painter(session, "Sam", 3_000)
    week(act, sam, 25)
    set_settings(act, {SettingName.ON_COSTS_PERMILLE: 200}, FIRST)
    make_entry(session, sam, make_work(session), "9:00", "11:00")
    wages = read(session).wages
    assert (wages.paid.on_costs_minor, wages.no_job_minor) == (63_000, 378_000 - 6_000)


def test_the_owner_stands_apart_and_carries_no_on_costs(session: Session, owner: Actor, act: Act) -> None:
    cost(session, owner, 4_600)
    week(act, owner, 40)
    set_settings(act, {SettingName.ON_COSTS_PERMILLE: 200}, FIRST)
    make_entry(session, owner, make_work(session), "9:00", "11:00")
    reading = read(session)
    assert (reading.wages.own_pay_minor, reading.wages.no_job_minor) == (772_800, 0)
    owners = ShopOn(session, LAST).owners
    assert owners == {owner.person_id}
    clocked = read_cars(ShopOn(session, LAST), FIRST, LAST).clocked
    labour = owners_labour(clocked, owners)
    assert [sum(days.values()) for days in labour.values()] == [9_200]
    assert owners_labour(clocked, []) == owners_labour((), owners) == {}


def test_of_an_owner_without_a_cost_or_hours_nothing_is_known(session: Session, owner: Actor, act: Act) -> None:
    cost(session, owner, None)
    assert (read(session).wages.unknown, read(session).costs(0).own_pay_minor) == (("Noor",), None)
    cost(session, owner, 4_600)
    assert read(session).wages.unknown == ("Noor",)
    week(act, owner, 0, ())
    assert (read(session).wages.unknown, read(session).costs(0).own_pay_minor) == ((), 0)


def test_an_owner_who_left_is_asked_for_nothing(session: Session, owner: Actor, act: Act) -> None:
    gone = make_person(session, "Ada", Role.OWNER)
    cost(session, gone, None)
    assert read(session).wages.unknown == ("Ada", "Noor")
    session.get_one(Person, gone.person_id).is_active = False
    session.flush()
    assert read(session).wages.unknown == ("Noor",)


def test_fixed_costs_of_one_name_are_one_row_and_removed_ones_are_none(session: Session, act: Act) -> None:
    for name, amount, per in (("Rent", 300_000, "month"), ("Rent", 6_000, "quarter"), ("Insurance", 120_000, "year")):
        add_fixed_cost(act, name=name, amount_minor=amount, per=per, from_on=FIRST)
    strike_fixed_cost(act, add_fixed_cost(act, name="Mistake", amount_minor=1, per="month", from_on=FIRST).id)
    assert read(session).fixed == (("Rent", 302_000), ("Insurance", 10_000))
    assert read(session).costs(500).total_minor == 312_500


def test_card_fees_count_on_what_was_taken_and_not_on_what_was_entered_wrong(session: Session, act: Act) -> None:
    set_settings(act, {SettingName.CARD_FEES: {"card": [2_600, 10]}}, FIRST)
    job = make_agreed_job(session, act.moment)
    issue_invoice(act, job.id)
    take_payment(act, job_id=job.id, amount_minor=10_000, means="cash")
    wrong = take_payment(act, job_id=job.id, amount_minor=25_000, means="card")
    assert read(session).fees == (MeansFees("card", 25_000, 660),)
    again = Again(job.number, "card", act.day, 5_000)
    reverse_payment(act, wrong.id, kind="typed_wrong", reason="one figure too many", again=again)
    assert read(session).fees == (MeansFees("card", 5_000, 140),)
    assert session.query(Payment).count() == 4


def test_a_means_left_out_of_a_later_line_costs_nothing_from_then_on(session: Session, act: Act) -> None:
    set_settings(act, {SettingName.CARD_FEES: {"card": [2_600, 0]}}, FIRST)
    set_settings(act, {SettingName.CARD_FEES: {}}, date(2026, 11, 3))
    job = make_agreed_job(session, act.moment)
    issue_invoice(act, job.id)
    take_payment(act, job_id=job.id, amount_minor=10_000, means="card")
    assert sum(one.fee_minor for one in read(session).fees) == 0
