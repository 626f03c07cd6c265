"""Lines invoiced before keys are matched: a person says which agreed line each of them bills."""

from collections.abc import Mapping

from shopbook.models.money import LineMatch
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.billable import agreed_work, billing_day
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.line_matches import list_agreed_lines, list_keyless_lines
from shopbook.services.act import Act
from shopbook.services.money.allocations import settle
from shopbook.services.postings import write_log
from shopbook.trade.errors import RuleBroken


def match_lines(act: Act, job_id: int, keys: Mapping[int, int]) -> int:
    """Keep for invoice lines (by id) the key of the agreed line that each bills; answers how many changed.

    A line may be matched anew: the newest word counts. RuleBroken, with the line's field, for one that is still
    without a choice or not of the agreed lines; and for a line that has a key of its own.
    """
    work = agreed_work(act.session, [job_id])[job_id]
    lines = list_keyless_lines(act.session, issued_of(act.session, [job_id])[job_id].papers)
    agreed = {line.key for line in list_agreed_lines(work, billing_day(act.session, act.day))}
    if not set(keys) <= {line.line_id for line in lines}:
        raise RuleBroken("These lines have changed. Load the page again.")
    for line in lines:
        if keys.get(line.line_id) not in agreed:
            raise RuleBroken("Choose the approved line that this one bills.", f"line_{line.line_id}")
    changed = [line for line in lines if keys[line.line_id] != line.key]
    for line in changed:
        act.session.add(
            LineMatch(
                invoice_line_id=line.line_id,
                line_key=keys[line.line_id],
                at=act.moment,
                on=act.day,
                person_id=act.actor.person_id,
            )
        )
    # The matches first: what is settled below reads them from the book.
    act.session.flush()
    job = get_job_by_id(act.session, job_id)
    write_log(act, "match_lines", "job", job_id, f"Matched {len(changed)} invoice lines", job_id=job_id)
    settle(act.session, act.moment, job)
    return len(changed)
