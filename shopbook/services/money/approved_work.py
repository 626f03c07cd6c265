"""The planned work is kept with the approval: what was agreed can be held against what came of it."""

from collections.abc import Collection
from dataclasses import asdict

from shopbook.models.jobs import Job
from shopbook.models.money import Approval, ApprovalWork, Quote
from shopbook.queries.money.planned_work import planned_work
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.services.act import Act


def keep_approved_work(
    act: Act, job: Job, quote: Quote, approval: Approval, taken: Collection[int] | None = None
) -> None:
    """Keep what is planned now of the groups `taken` (None: of all), at the costs of the day of the approval.

    Called once the stages of the approval are settled: panels that were declined have left the plan by then.
    """
    groups = [group for group in quote.groups if taken is None or group.id in taken]
    for piece in planned_work(ShopOn(act.session, approval.on), job, quote, groups):
        act.session.add(ApprovalWork(approval_id=approval.id, **asdict(piece)))
    act.session.flush()
