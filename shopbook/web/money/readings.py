"""How an older approval of a payer is read: one press chooses."""

from werkzeug.wrappers import Response

from shopbook.queries.jobs.jobs import get_job
from shopbook.services.money.readings import read_approval_as
from shopbook.web.money.blueprint import blueprint, job_url
from shopbook.web.parts import act_by_press, does, needs, reader


@blueprint.post("/jobs/<int:number>/approvals/<int:approval_id>/read/<any(share, whole):kind>")
@needs("money", "change")
def read_approval(number: int, approval_id: int, kind: str) -> Response:
    """Keep that an approval is of the payer's own share, or of the whole repair."""
    get_job(reader(), number)
    doing = does(lambda act: read_approval_as(act, approval_id, is_whole=kind == "whole"), job_url(number), "Saved.")
    return act_by_press(doing, job_url(number))
