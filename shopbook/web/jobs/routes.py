"""The blueprint of the jobs, and the ledger."""

from collections.abc import Iterable, Sequence
from datetime import date

from flask import Blueprint, g, render_template, request

from shopbook.queries.diary.later import late_cars
from shopbook.queries.jobs.jobs import TAB_WORDS, Tab, list_jobs, page_mark
from shopbook.queries.jobs.ledger import ledger_head, ledger_of
from shopbook.queries.jobs.whole import WholeJob, whole_jobs
from shopbook.queries.money.accounts import read_accounts_of
from shopbook.queries.money.next_acts import next_act_of
from shopbook.queries.money.owed import JobStands, stands_of
from shopbook.trade.diary.late import LateCar
from shopbook.trade.purposes import JOB_PURPOSE_WORDS
from shopbook.trade.standing import STANDING_WORDS
from shopbook.web.parts.act import now, reader, shop_now
from shopbook.web.parts.frame import money, near_day
from shopbook.web.parts.guards import needs
from shopbook.web.parts.rows import Job

blueprint = Blueprint("jobs", __name__, url_prefix="/jobs")
PAGE = 50
SHOWN = 10
"""Rows of the list before the rest folds."""


@blueprint.get("/")
@needs("jobs", "see")
def ledger() -> str:
    tab = _tab(request.args.get("which", ""))
    jobs = list_jobs(reader(), tab, request.args.get("after", ""), PAGE + 1)
    shown, head = jobs[:PAGE], ledger_head(shop_now())
    return render_template(
        "jobs/ledger.html",
        tab=tab,
        tabs=TAB_WORDS,
        counts=head.counts,
        sums=head.sums if tab is Tab.OPEN else None,
        **_rows(shown),
        today=shop_now().day,
        standing_words=STANDING_WORDS,
        job_purpose_words=JOB_PURPOSE_WORDS,
        sample=head.sample,
        later=page_mark(shown[-1]) if len(jobs) > PAGE else None,
        is_first=not request.args.get("after"),
    )


def _rows(shown: Sequence[Job]) -> dict[str, object]:
    """The rows of these jobs, how each stands, what comes next of it and which will be late, by job id; each job is
    read once."""
    wholes = whole_jobs(reader(), shown)
    accounts, rows = read_accounts_of(shop_now(), wholes), ledger_of(shop_now(), wholes.values(), now())
    stands = stands_of(accounts)
    late = late_cars(shop_now(), wholes.values(), now())
    nexts = {
        id_: next_act_of(wholes[id_], row.plan, accounts, stands[id_], late.get(id_), g.actor.roles)
        for id_, row in ((row.job.id, row) for row in rows)
    }
    return {
        "rows": sorted(rows, key=lambda row: _late_first(late.get(row.job.id))),
        "shown": SHOWN,
        "stands": stands,
        "nexts": nexts,
        "late": late,
        "lacks": {id_: said for id_, whole in wholes.items() if (said := _lacks(whole))},
        "owed_words": lambda of: _owed_words(stands[row.job.id] for row in of),
    }


def _late_first(late: LateCar | None) -> tuple[bool, date]:
    """Cars that cannot go out as promised on top, the promise told first before others; the rest as they come."""
    return (late is None, late.told[0] if late else date.min)


def _lacks(whole: WholeJob) -> str:
    """The part that is not here and a stage waits for, or nothing."""
    waited = [stage.waits_for_part_id for stage in whole.plan if stage.finished_at is None]
    missing = [part for part in whole.standing_parts if part.id in waited and part.came_at is None]
    if not missing:
        return ""
    part = min(missing, key=lambda each: each.due_on or date.max)
    return f"waits for {part.name}" + (f", due {near_day(part.due_on)}" if part.due_on else "")


def _owed_words(stands: Iterable[JobStands]) -> str:
    """What is still to pay of these jobs, for whoever may see it."""
    owed = sum(each.owed_minor for each in stands) if g.actor.may("money", "see") else 0
    return f"{money(owed)} still to pay" if owed else ""


def _tab(asked: str) -> Tab:
    return Tab(asked) if asked in set(Tab) else Tab.OPEN
