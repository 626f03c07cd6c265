"""What the page of one job is loaded with: the shop, the job whole, and its money; sections are handed it too."""

from dataclasses import dataclass

from shopbook.models.jobs import Job
from shopbook.queries.jobs.whole import WholeJob, whole_job
from shopbook.queries.money.accounts import Accounts, read_account
from shopbook.queries.money.owed import JobStands, stands_of
from shopbook.queries.shop.shop_on import ShopOn


@dataclass(frozen=True, slots=True)
class JobPage:
    """One job as its page, and every section that another area hangs on it, is handed it: nothing is read twice."""

    shop: ShopOn
    whole: WholeJob
    accounts: Accounts
    stands: JobStands

    @property
    def job(self) -> Job:
        """The job, car and customer loaded."""
        return self.whole.job


def read_job_page(shop: ShopOn, job: Job) -> JobPage:
    """The page of a job that is read already (car and customer loaded), in the shop as it stands on its day."""
    whole = whole_job(shop.session, job)
    accounts = read_account(shop, whole)
    return JobPage(shop, whole, accounts, stands_of(accounts)[job.id])
