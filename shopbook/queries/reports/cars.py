"""The cars of a day: what leaves, what arrives and what cannot go out as promised, with what each still needs."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import and_, or_, select
from sqlalchemy.orm import Session, joinedload

from shopbook.models.jobs import Job
from shopbook.queries.diary.hands import Away
from shopbook.queries.diary.later import is_open_promise, late_cars
from shopbook.queries.diary.promised import PromisedJob, list_promised
from shopbook.queries.diary.suggest import absences_ahead
from shopbook.queries.jobs.ledger import plan_now
from shopbook.queries.jobs.plans import JobHours
from shopbook.queries.jobs.whole import WholeJob, whole_jobs
from shopbook.queries.money.accounts import Accounts, read_accounts_of
from shopbook.queries.money.next_acts import next_act_of
from shopbook.queries.money.owed import JobStands, risks_in, stands_of
from shopbook.queries.money.whose import NamedSum
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.diary.late import LateCar
from shopbook.trade.diary.opening import HalfDay
from shopbook.trade.measures.half_days import half_day_end
from shopbook.trade.next_act import NextAct, PlanFacts
from shopbook.trade.permissions import Role


@dataclass(frozen=True, slots=True)
class CarToday:
    """One car that leaves or arrives, or cannot go out as promised: its place, its plan, its next step and what is left
    to pay for it."""

    job: Job
    place: str
    plan: PlanFacts
    hours: JobHours
    stands: JobStands
    next: NextAct
    is_out: bool
    late: LateCar | None = None


@dataclass(frozen=True, slots=True)
class CarsOfDay:
    """The cars, the worst first, and what was read for them: every job that is named and what the shop risks, by job
    id; the open jobs of the diary, and who is away."""

    cars: tuple[CarToday, ...]
    jobs: Mapping[int, Job]
    risks: Mapping[int, Iterable[NamedSum]]
    promised: Sequence[PromisedJob]
    away: Sequence[Away]


def read_cars(
    shop: ShopOn, now: datetime, named: Collection[int], waiting: Iterable[Job], roles: Collection[Role]
) -> CarsOfDay:
    """The cars of the shop's day at `now`, their next acts for a person of these `roles`; jobs that are `named` by id
    are read with them, and of jobs that are `waiting` for an approval what the shop risks."""
    session, today = shop.session, shop.day
    promised, away = list_promised(session, shop.opening, today), absences_ahead(shop)
    next_day = shop.opening.add_working_days(today + timedelta(days=1), 0)
    moving, jobs = _moving(session, today, next_day, {*named, *(row.job_id for row in promised)})
    due, asked = [jobs[row.job_id] for row in promised if is_open_promise(jobs[row.job_id])], list(waiting)
    wholes = whole_jobs(session, list(dict.fromkeys((*moving, *due, *asked))))
    late = late_cars(shop, [wholes[job.id] for job in due], now, promised, away)
    shown = dict.fromkeys((*moving, *(job for job in due if job.id in late)))
    accounts = read_accounts_of(shop, {job.id: wholes[job.id] for job in (*shown, *asked)})
    rows = _rows([wholes[job.id] for job in shown], late, accounts, now, roles)
    return CarsOfDay(tuple(rows), jobs, risks_in(accounts), promised, away)


def _rows(
    wholes: Iterable[WholeJob],
    late: Mapping[int, LateCar],
    accounts: Accounts,
    now: datetime,
    roles: Collection[Role],
) -> list[CarToday]:
    """Cars of the day, each with its next step and what is left to pay for it; the worst first."""
    stands = stands_of(accounts)
    cars = []
    for whole in wholes:
        job, held, (plan, hours) = whole.job, late.get(whole.job.id), plan_now(whole, now)
        act = next_act_of(whole, plan, accounts, stands[job.id], held, roles)
        place = accounts.shop.place_names.get(job.place_id or 0, "")
        cars.append(CarToday(job, place, plan, hours, stands[job.id], act, job.came_at is not None, held))
    return sorted(cars, key=lambda car: _order(car, accounts.shop.day))


def _moving(session: Session, today: date, next_day: date, others: Collection[int]) -> tuple[list[Job], dict[int, Job]]:
    """Cars promised by the next working day or ready to go, and cars that should have come by today; and by id these
    with others that are named."""
    moves = and_(
        Job.settled_at.is_(None),
        Job.called_off_at.is_(None),
        Job.handed_over_at.is_(None),
        ~Job.is_sample,
        or_(
            Job.came_at.is_not(None) & or_(Job.promise_on <= next_day, Job.ready_at.is_not(None)),
            Job.came_at.is_(None) & (Job.drop_off_on <= today),
        ),
    )
    asked = select(Job, moves).where(moves | Job.id.in_(others)).order_by(Job.number)
    rows = session.execute(asked.options(joinedload(Job.customer), joinedload(Job.vehicle))).all()
    return [job for job, does_move in rows if does_move], {job.id: job for job, _ in rows}


def _order(car: CarToday, today: date) -> tuple[bool, date, bool, bool, int]:
    """Cars that cannot go out as promised before others, the promise told first on top; then by day, what is past as of
    today, what goes before what comes, the morning before the afternoon."""
    job = car.job
    day, half = (job.promise_on, job.promise_half) if car.is_out else (job.drop_off_on, job.drop_off_half)
    if car.late:
        return (False, *half_day_end(*car.late.told), False, job.number)
    return (True, max(day or today, today), not car.is_out, half == HalfDay.AFTERNOON, job.number)
