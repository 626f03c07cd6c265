"""What was sold over some days, what it cost, and the break-even that the quick estimate is checked against."""

from datetime import date, timedelta

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.queries.reports.break_even import read_break_even, read_hour_needed
from shopbook.queries.reports.cars_read import read_cars
from shopbook.queries.reports.paint_hours import read_paint_hours
from shopbook.queries.reports.sold_work import SoldReading, sum_sold
from shopbook.queries.reports.span_read import read_span
from shopbook.queries.reports.worst_jobs import list_billed_stages
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.jobs.parts import add_part, part_came
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.shop.fixed_costs import add_fixed_cost
from shopbook.services.shop.paid_weeks import set_paid_week
from shopbook.services.shop.rates import set_settings
from shopbook.trade.floor.hours import Interval
from shopbook.trade.permissions import Actor
from shopbook.trade.purposes import JobPurpose, StagePurpose
from shopbook.trade.results.break_even import HourNeeded, PaintHours
from shopbook.trade.settings import SettingName
from tests.makers.billing import make_agreed_job
from tests.makers.floor import at, make_open_job, make_painter, make_work
from tests.makers.shop import forget_costs

OCTOBER, NOVEMBER = date(2026, 10, 20), date(2026, 11, 3)
LAST = date(2026, 11, 30)


def work(session: Session, who: Actor, job: Job, day: date, hours: int, **given: object) -> None:
    """So many hours of one person on a stage of the job, from nine in the morning."""
    stage = make_work(session, job=job, minutes=60 * hours, **given)
    span = Interval(at("9:00", day), at("9:00", day) + timedelta(hours=hours))
    write_entry(Act(session, who, span.ends_at), who.person_id or 0, span, Doing(stage_ids=(stage.id,)))


def sold_in(session: Session, first: date, last: date) -> SoldReading:
    return sum_sold(read_span(ShopOn(session, last), first, last), first, last)


def november(session: Session) -> SoldReading:
    return sold_in(session, date(2026, 11, 1), LAST)


def paint_hours(session: Session) -> PaintHours:
    first, read = date(2026, 11, 1), read_cars(ShopOn(session, LAST), date(2026, 11, 1), LAST)
    return read_paint_hours(read, first, LAST, list_billed_stages(read, first, LAST))


def test_all_cost_of_a_job_invoiced_counts_and_a_job_in_work_does_not(session: Session, owner: Actor, act: Act) -> None:
    """Four hours and a lamp in October, one hour in November at 30.00, invoiced in November: 150.00 and 50.00."""
    sam = make_painter(session, "Sam", 3_000)
    job = make_agreed_job(session, at("8:00", OCTOBER))
    work(session, sam, job, OCTOBER, 4, purpose=StagePurpose.PLAN)
    lamp = add_part(Act(session, owner, at("8:00", OCTOBER)), job.id, name="Lamp", cost_minor=5_000)
    part_came(Act(session, owner, at("12:00", OCTOBER)), lamp.id)
    work(session, sam, job, NOVEMBER, 1, purpose=StagePurpose.PLAN)
    work(session, sam, make_open_job(session), date(2026, 11, 4), 2)
    assert november(session).sold.labour_cost_minor == 0
    issue_invoice(act, job.id)
    sold = november(session).sold
    assert (sold.labour_cost_minor, sold.bought_cost_minor, sold.lost_minor) == (15_000, 5_000, 0)
    assert sold.minutes >= 300
    assert sold.labour_net_minor + sold.other_net_minor == 80_300
    october = sold_in(session, date(2026, 10, 1), date(2026, 10, 31)).sold
    assert (october.labour_cost_minor, october.labour_net_minor) == (0, 0)


def test_what_nobody_pays_for_is_lost_whole_and_so_is_work_after_the_invoice(session: Session, act: Act) -> None:
    sam = make_painter(session, "Sam", 3_000)
    goodwill = make_open_job(session, purpose=JobPurpose.GOODWILL)
    work(session, sam, goodwill, NOVEMBER, 2)
    job = make_agreed_job(session, at("8:00", OCTOBER))
    issue_invoice(Act(session, act.actor, at("16:00", OCTOBER)), job.id)
    work(session, sam, job, date(2026, 11, 4), 1)
    sold = november(session).sold
    assert (sold.lost_minor, sold.labour_cost_minor) == (9_000, 0)


def test_the_owners_hours_on_what_was_invoiced_are_told_apart(session: Session, owner: Actor, act: Act) -> None:
    """Two hours of the owner in October and one in November, at 31.00: 93.00 of the labour of that job."""
    job = make_agreed_job(session, at("8:00", OCTOBER))
    work(session, owner, job, OCTOBER, 2)
    work(session, owner, job, NOVEMBER, 1)
    issue_invoice(act, job.id)
    found = november(session)
    assert (found.sold.owner_labour_minor, found.sold.labour_cost_minor) == (9_300, 9_300)
    span = read_span(ShopOn(session, LAST), date(2026, 11, 1), LAST)
    even = read_break_even(span, date(2026, 11, 1), LAST, found).even
    assert even.profit_minor == 80_300


def test_materials_by_the_hour_are_of_the_jobs_invoiced(session: Session, owner: Actor, act: Act) -> None:
    job = make_agreed_job(session, at("8:00", OCTOBER))
    given = {"name": "Base", "code": "base_clear", "skill": "paint", "purpose": StagePurpose.PLAN}
    work(session, make_painter(session, "Sam"), job, NOVEMBER, 2, **given)
    colour = add_part(act, job.id, name="Silver", kind="colour", cost_minor=4_000)
    part_came(act, colour.id)
    assert paint_hours(session).minutes == 0
    issue_invoice(act, job.id)
    found = paint_hours(session)
    assert (found.minutes, found.colour_minor, found.by_refinish) == (120, 4_000, True)
    assert found.billed_sum_minor > 0


def test_the_quick_estimate_asks_what_the_owner_costs_until_it_is_known(
    session: Session, owner: Actor, act: Act
) -> None:
    forget_costs(session, owner)
    assert read_hour_needed(ShopOn(session, act.day)) == HourNeeded(None, "Enter what Noor costs to see this.")
    set_settings(act, {SettingName.MUST_BRING_MINOR: 7_020}, act.day)
    assert read_hour_needed(ShopOn(session, act.day)) == HourNeeded(7_020)


def test_the_quick_estimate_takes_the_mean_of_three_full_months(session: Session, owner: Actor, act: Act) -> None:
    """Rent of 1,000.00 from August to October, the owner's pay and nothing else, over the hours sold in October."""
    first = date(2026, 8, 3)
    job = make_agreed_job(session, at("8:00", OCTOBER))
    make_work(session, job=job, minutes=600, purpose=StagePurpose.PLAN)
    issue_invoice(Act(session, owner, at("16:00", OCTOBER)), job.id)
    add_fixed_cost(act, name="Rent", amount_minor=100_000, per="month", from_on=date(2026, 8, 1))
    set_paid_week(act, owner.person_id or 0, weekly_minutes=600, weekdays=range(5), from_on=first)
    sold = sold_in(session, date(2026, 8, 1), date(2026, 10, 31)).sold
    days = 65
    """Working days from August 3 to October 30, two hours of each at 31.00."""
    own = days * 2 * 3_100
    found = read_hour_needed(ShopOn(session, act.day))
    assert found.hour_minor == round((300_000 + own) * 60 / sold.minutes)
