"""One thing asked alone that a page reads together with others: the program asks these at once, a test one by one."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage
from shopbook.queries.diary.suggest import Suggestion, suggest_for
from shopbook.queries.floor.windows import RunningWait, read_waits
from shopbook.queries.jobs.jobs import Tab, get_job_by_id
from shopbook.queries.jobs.ledger import LedgerRow, ledger_head, ledger_of
from shopbook.queries.jobs.plans import get_bare_stages
from shopbook.queries.jobs.sheet import JobSheet, sheet_of
from shopbook.queries.jobs.whole import whole_job, whole_jobs
from shopbook.queries.money.approvals import AgreedSum, agreed_sums_of
from shopbook.queries.money.owed import job_stands
from shopbook.queries.money.waiting import waiting_to_invoice
from shopbook.queries.money.whose import risks_of
from shopbook.queries.shelf.lots import Expiring, expiring_among, list_live_lots
from shopbook.queries.shelf.orders import OnOrder, list_open_orders, on_order_among
from shopbook.queries.shop.shop_on import ShopOn, shop_at
from shopbook.services.act import Act
from shopbook.services.jobs.doing import begin_stages, end_stages


def agreed_sum(session: Session, job_id: int) -> AgreedSum:
    """What the owner's yes (or several) comes to; noughts before the first yes."""
    return agreed_sums_of(session, [job_id])[job_id]


def begin_stage(act: Act, stage_id: int) -> Stage:
    """Somebody started on it at `now`; see `begin_stages`."""
    stages = get_bare_stages(act.session, [stage_id])
    begin_stages(act, stages)
    return stages[0]


def count_jobs(session: Session) -> dict[Tab, int]:
    """How many jobs each tab holds; one statement."""
    return dict(ledger_head(ShopOn(session, date(2026, 11, 5))).counts)


def end_stage(act: Act, stage_id: int) -> Stage:
    """It is done; see `end_stages`."""
    stages = get_bare_stages(act.session, [stage_id])
    end_stages(act, stages)
    return stages[0]


def job_sheet(session: Session, job: Job, now: datetime) -> JobSheet:
    """Everything for the page of one job; the number of statements does not depend on the length of its plan."""
    return sheet_of(whole_job(session, job), shop_at(session, now), now)


def ledger_rows(session: Session, jobs: Sequence[Job], now: datetime) -> list[LedgerRow]:
    """Each job with coats, open stages and hours; the number of statements does not depend on how many."""
    return ledger_of(shop_at(session, now), whole_jobs(session, jobs).values(), now)


def list_expiring(session: Session, day: date, within_days: int = 30) -> list[Expiring]:
    """Lots with something left that are out of date on `day` or will be within so many days, the soonest first."""
    return expiring_among(list_live_lots(session), day, within_days)


def list_on_order(session: Session) -> list[OnOrder]:
    """What is still to come of each material, the soonest first."""
    return on_order_among(list_open_orders(session))


def list_running_waits(session: Session, now: datetime) -> list[RunningWait]:
    """Waits of cars in the shop that run, or are over while what follows was not begun, the soonest first.

    One statement; of several stages that follow the first in the plan is named.
    """
    return list(read_waits(session, now).waits)


def list_to_invoice(session: Session, day: date) -> list[Job]:
    """Jobs that are ready or went and were agreed, with something on no invoice; the longest ready first."""
    return [job for job, _ in waiting_to_invoice(ShopOn(session, day))]


def risk_of_job(session: Session, job_id: int) -> int:
    """The same of one job."""
    return risks_of(session, [job_id]).get(job_id, 0)


def still_to_pay(session: Session, job_ids: Iterable[int], day: date) -> dict[int, int]:
    """What is still to pay of each job: of its papers, or before an invoice of what was agreed."""
    return {job_id: stands.owed_minor for job_id, stands in job_stands(session, job_ids, day).items()}


def suggest_days(session: Session, job_id: int, now: datetime) -> Suggestion:
    """The days that one job could have; the number of statements does not depend on how many are promised already.

    A job without a promise is placed behind everything that has one; one with a promise behind what is due before it.
    A car that is here goes on from now; one with a day to come starts then; every other one could come at once.
    """
    return suggest_for(whole_job(session, get_job_by_id(session, job_id)), shop_at(session, now), now)
