"""The blueprint of the jobs, and the ledger."""

from collections.abc import Sequence

from flask import Blueprint, render_template, request

from shopbook.queries.diary.later import late_cars
from shopbook.queries.jobs.jobs import TAB_WORDS, Tab, list_jobs, page_mark
from shopbook.queries.jobs.ledger import ledger_head, ledger_of
from shopbook.queries.jobs.whole import whole_jobs
from shopbook.queries.money.accounts import read_accounts_of
from shopbook.queries.money.next_acts import next_act_of
from shopbook.queries.money.owed import stands_of
from shopbook.trade.purposes import JOB_PURPOSE_WORDS
from shopbook.trade.standing import STANDING_WORDS
from shopbook.web.parts.act import now, reader, shop_now
from shopbook.web.parts.guards import needs
from shopbook.web.parts.rows import Job

blueprint = Blueprint("jobs", __name__, url_prefix="/jobs")
PAGE = 50


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
    nexts = {row.job.id: next_act_of(wholes[row.job.id], row.plan, accounts, stands[row.job.id]) for row in rows}
    late = late_cars(shop_now(), wholes.values(), now())
    return {"rows": rows, "stands": stands, "nexts": nexts, "late": late}


def _tab(asked: str) -> Tab:
    return Tab(asked) if asked in set(Tab) else Tab.OPEN
