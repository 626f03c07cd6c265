"""What the page of one job is loaded with: the shop, the job whole, and its money; sections are handed it too."""

from dataclasses import dataclass
from datetime import datetime

from shopbook.models.jobs import Job
from shopbook.queries.diary.later import late_by
from shopbook.queries.diary.suggest import Suggestion, suggest_for
from shopbook.queries.jobs.whole import WholeJob, whole_job
from shopbook.queries.money.accounts import Accounts, read_account
from shopbook.queries.money.owed import JobStands, stands_of
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.diary.late import LateCar


@dataclass(frozen=True, slots=True)
class JobPage:
    """One job as its page, and every section that another area hangs on it, is handed it: nothing is read twice."""

    shop: ShopOn
    whole: WholeJob
    accounts: Accounts
    stands: JobStands
    offered: Suggestion | None = None
    """The days that the diary offers while the car is neither ready nor gone."""

    @property
    def late(self) -> LateCar | None:
        """Whether it cannot go out as promised."""
        return late_by(self.job, self.offered) if self.offered else None

    @property
    def job(self) -> Job:
        """The job, car and customer loaded."""
        return self.whole.job


def read_job_page(shop: ShopOn, job: Job, now: datetime) -> JobPage:
    """The page of a job that is read already (car and customer loaded), in the shop as it stands at `now`."""
    whole = whole_job(shop.session, job)
    accounts = read_account(shop, whole)
    is_over = job.ready_at or job.handed_over_at or job.called_off_at
    offered = None if is_over else suggest_for(whole, shop, now)
    return JobPage(shop, whole, accounts, stands_of(accounts)[job.id], offered)
