"""The colour that a plan needs is ordered: it becomes a part of the job, in what is sold."""

from datetime import date

from shopbook.models.jobs import JobPart
from shopbook.queries.jobs.colours import colours_to_buy
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.whole import whole_job
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.act import Act
from shopbook.services.jobs.parts import add_part, order_part
from shopbook.trade.car.part_kinds import PartKind
from shopbook.trade.errors import RuleBroken


def order_colour(act: Act, job_id: int, role: str, due_on: date | None = None) -> JobPart:
    """Order the colour of one role as the plan needs it now. RuleBroken where nothing of it is still to buy."""
    job = get_job_by_id(act.session, job_id)
    needs = colours_to_buy(whole_job(act.session, job), shop_at(act.session, act.moment).catalogue)
    need = next((each for each in needs if each.role == role), None)
    if need is None:
        raise RuleBroken("The plan needs no more of this. Look at the job again.")
    part = add_part(act, job.id, name=need.words, kind=PartKind.COLOUR)
    return order_part(act, part.id, due_on)
