"""What jobs cost: by kind, by stage, by day; a comeback whole; and that neither jobs nor days ask more statements."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.session import make_engine, transaction
from shopbook.queries.customers import list_customers
from shopbook.queries.money.costs import CostLine, list_costs, sum_by_job
from shopbook.queries.money.margins import margins
from shopbook.queries.reports.month import get_month_end
from shopbook.queries.reports.put_right import PutRight, list_put_right
from shopbook.services.act import Act
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.jobs.comebacks import open_comeback
from shopbook.services.jobs.parts import add_part, part_came, send_part_back
from shopbook.services.postings import Source
from shopbook.services.shelf.stock import draw_stock, open_pack
from shopbook.trade.floor.hours import Interval
from shopbook.trade.permissions import Actor
from shopbook.trade.results.margin import Costs
from tests.makers import make_book, make_customer
from tests.makers.billing import make_agreed_job
from tests.makers.floor import at, make_painter, make_work
from tests.makers.shelf import make_delivery, make_material

OCTOBER, NOVEMBER, LATER = date(2026, 10, 20), date(2026, 11, 3), date(2026, 11, 10)


def work(
    session: Session,
    who: Actor,
    job: Job,
    day: date,
    hours: int = 1,
    begins: str = "9:00",
    stage_id: int | None = None,
) -> int:
    """So many hours at 31.00 on a stage of the job, a new one unless it is given; the key of the stage."""
    key = stage_id or make_work(session, job=job).id
    assert who.person_id is not None
    span = Interval(at(begins, day), at(begins, day) + timedelta(hours=hours))
    write_entry(Act(session, who, span.ends_at), who.person_id, span, Doing(stage_ids=(key,)))
    return key


def buy(session: Session, who: Actor, job: Job, day: date, kind: str, cost: int) -> int:
    """Something that came on a day; its key."""
    part = add_part(Act(session, who, at("8:00", day)), job.id, name=f"A {kind}", kind=kind, cost_minor=cost)
    part_came(Act(session, who, at("12:00", day)), part.id)
    return part.id


def draw(session: Session, who: Actor, job: Job, day: date, stage_id: int | None) -> None:
    """A quarter litre of clear at 40.00 a litre: 10.00."""
    clear = make_material(session, f"Clear of {day} for {job.number}")
    make_delivery(session, clear)
    draw_stock(Act(session, who, at("9:30", day)), clear, 250_000, Source(job_id=job.id, stage_id=stage_id))


def supplies(session: Session, who: Actor, day: date, cost: int) -> None:
    box = make_material(session, f"Wipes of {day}", way="shop_supplies", role="", pack_price_minor=cost)
    make_delivery(session, box)
    open_pack(Act(session, who, at("8:00", day)), box, on=day)


def test_every_kind_stands_on_its_day_and_its_stage(session: Session, owner: Actor) -> None:
    """2 h at 31.00, 10.00 of clear, a part of 50.00 and colour of 20.00, sublet work of 30.00, 4.00 of supplies."""
    job = make_agreed_job(session, at("8:00", OCTOBER))
    stage_id = work(session, owner, job, OCTOBER, 2)
    draw(session, owner, job, NOVEMBER, stage_id)
    for kind, cost in (("part", 5000), ("colour", 2000), ("sublet", 3000)):
        buy(session, owner, job, NOVEMBER, kind, cost)
    supplies(session, owner, OCTOBER, 400)
    lines = list_costs(session, jobs=[job.id])
    assert {(line.stage_id, line.on, line.costs) for line in lines} == {
        (stage_id, OCTOBER, Costs(labour_minor=6200)),
        (stage_id, NOVEMBER, Costs(materials_minor=1000)),
        (None, NOVEMBER, Costs(parts_minor=5000)),
        (None, NOVEMBER, Costs(parts_minor=2000)),
        (None, NOVEMBER, Costs(sublet_minor=3000)),
        (None, OCTOBER, Costs(supplies_minor=400)),
    }
    assert sum_by_job(lines) == {job.id: Costs(6200, 1000, 7000, 3000, 0, 400)}


@pytest.mark.parametrize(
    ("first", "last", "total"), [(date.min, OCTOBER, 3100), (NOVEMBER, LATER, 6200), (date.min, date.max, 9300)]
)
def test_a_span_holds_both_its_days(session: Session, owner: Actor, first: date, last: date, total: int) -> None:
    job, other = (make_agreed_job(session, at("8:00", OCTOBER)) for _ in range(2))
    for day in (OCTOBER, NOVEMBER, LATER):
        work(session, owner, job, day)
        work(session, owner, other, day, begins="13:00")
    assert sum_by_job(list_costs(session, jobs=[job.id], first=first, last=last)) == {job.id: Costs(total)}
    assert len(sum_by_job(list_costs(session, first=first, last=last))) == 2


def test_a_part_sent_back_later_stays_in_the_month_in_which_it_came(session: Session, owner: Actor) -> None:
    """80.00 come on October 20 and sent back on November 3: in by October 31, out by November 30."""
    job = make_agreed_job(session, at("8:00", OCTOBER))
    part_id = buy(session, owner, job, OCTOBER, "part", 8000)
    october = get_month_end(session, "2026-10").all_jobs.costs
    send_part_back(Act(session, owner, at("9:00", NOVEMBER)), part_id)
    assert get_month_end(session, "2026-10").all_jobs.costs == october == Costs(parts_minor=8000)
    assert get_month_end(session, "2026-11").all_jobs.costs == Costs(parts_minor=-8000)
    up_to = [sum_by_job(list_costs(session, jobs=[job.id], last=day))[job.id] for day in (OCTOBER, LATER)]
    assert up_to == [Costs(parts_minor=8000), Costs()]


def came_back(session: Session, owner: Actor) -> tuple[Job, Job]:
    """A job handed over in October; its comeback took 1 h, 10.00 of clear, a part of 64.00, colour of 5.00, sublet work
    of 12.00 and the month's supplies of 4.00 by November 3, went again, and took another hour on the 10th."""
    first = make_agreed_job(session, at("8:00", OCTOBER))
    work(session, owner, first, OCTOBER)
    first.handed_over_at, first.handed_over_on = at("16:00", OCTOBER), OCTOBER
    back = open_comeback(Act(session, owner, at("8:00", NOVEMBER)), first.id, wrong="clear has dulled")
    stage_id = work(session, owner, back, NOVEMBER)
    draw(session, owner, back, NOVEMBER, stage_id)
    for kind, cost in (("part", 6400), ("colour", 500), ("sublet", 1200)):
        buy(session, owner, back, NOVEMBER, kind, cost)
    supplies(session, owner, NOVEMBER, 400)
    back.handed_over_at, back.handed_over_on = at("16:00", NOVEMBER), NOVEMBER
    work(session, owner, back, LATER, stage_id=stage_id)
    session.flush()
    return first, back


WHOLE = 2 * 3100 + 1000 + 6400 + 500 + 1200 + 400


def test_all_that_a_comeback_cost_stands_with_the_first_job(session: Session, owner: Actor) -> None:
    first, back = came_back(session, owner)
    found = margins(session, [first.id, back.id], LATER)
    assert (found[first.id].comebacks_minor, found[first.id].since_minor) == (WHOLE, 0)
    assert found[first.id].after_minor == found[first.id].margin.expected.margin_minor - WHOLE
    assert found[back.id].so_far == Costs(rework_minor=WHOLE)
    assert found[back.id].since_minor == 3100 + 200


def test_all_that_a_comeback_cost_stands_in_the_month_in_which_it_was_spent(session: Session, owner: Actor) -> None:
    first, back = came_back(session, owner)
    figures = get_month_end(session, "2026-11")
    assert figures.by_job[str(back.number)].month.costs == figures.all_jobs.costs == Costs(rework_minor=WHOLE)
    assert (figures.supplies_on_no_job_minor, figures.faults) == (0, ())
    rows = list_put_right(session, list_costs(session, first=date(2026, 11, 1), last=date(2026, 11, 30)))
    assert rows == [PutRight(back.number, "clear has dulled", first.number, WHOLE)]


def test_a_car_that_comes_back_twice_stands_with_the_first_job_whole(session: Session, owner: Actor) -> None:
    first, back = came_back(session, owner)
    again = open_comeback(Act(session, owner, at("8:00", LATER)), back.id, wrong="once more")
    buy(session, owner, again, LATER, "sublet", 700)
    found = margins(session, [first.id, back.id, again.id], LATER)
    assert [found[job.id].comebacks_minor for job in (first, back, again)] == [WHOLE + 700, 700, 0]


def test_on_other_jobs_only_a_stage_of_rework_stands_apart() -> None:
    spent = Costs(labour_minor=3100)
    assert CostLine(1, 1, OCTOBER, spent, is_put_right=True).counted == Costs(rework_minor=3100)
    assert CostLine(1, 2, OCTOBER, spent, is_put_right=False).counted == spent


def test_the_number_of_statements_does_not_grow_with_the_jobs(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    jobs = [make_agreed_job(session, now) for _ in range(6)]
    for place, job in enumerate(jobs):
        work(session, owner, job, OCTOBER + timedelta(days=place))
        send_part_back(act, buy(session, owner, job, OCTOBER, "part", 100))
    list_costs(session)  # the book is read now, so that it is counted with none of the three
    counts = []
    for ids in ([jobs[0].id], [job.id for job in jobs], None):
        seen: list[str] = []

        def listen(*told: object, seen: list[str] = seen) -> None:
            seen.append(str(told[2]))

        event.listen(session.get_bind(), "before_cursor_execute", listen)
        list_costs(session, jobs=ids)
        event.remove(session.get_bind(), "before_cursor_execute", listen)
        counts.append(len(seen))
    assert counts[0] == counts[1] == counts[2] == 5


@pytest.mark.postgresql
def test_a_comeback_costs_the_same_on_postgresql(postgres_url: str) -> None:
    engine = make_engine(postgres_url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        first, _ = came_back(session, make_painter(session, cost=3100))
        assert margins(session, [first.id], LATER)[first.id].comebacks_minor == WHOLE
        assert get_month_end(session, "2026-11").all_jobs.costs == Costs(rework_minor=WHOLE)
        assert [
            row.cost_minor
            for row in list_put_right(session, list_costs(session, first=date(2026, 11, 1), last=date(2026, 11, 30)))
        ] == [WHOLE]
        make_customer(session, "", "555-0164")
        assert list_customers(session, limit=1)[0].phone == "555-0164"
    engine.dispose()
