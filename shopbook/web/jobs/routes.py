"""The blueprint of the jobs, the ledger, and the one search box."""

from flask import Blueprint, redirect, render_template, request, url_for

from shopbook.queries.jobs.finding import list_found, meant_job
from shopbook.queries.jobs.jobs import TAB_WORDS, Tab, count_jobs, find_sample, list_jobs, page_mark
from shopbook.queries.jobs.ledger import ledger_rows, ledger_sums
from shopbook.queries.money.next_acts import next_acts
from shopbook.queries.money.owed import job_stands
from shopbook.trade.standing import STANDING_WORDS
from shopbook.web.jobs.visits import visits
from shopbook.web.parts.act import Answer, now, reader, shop_now
from shopbook.web.parts.guards import needs

blueprint = Blueprint("jobs", __name__, url_prefix="/jobs")
PAGE = 50


@blueprint.get("/find")
@needs("customers", "see")
def find() -> Answer:
    """What the search box finds; a number that only one job answers to leads straight to it."""
    typed = request.args.get("q", "").strip()[:200]
    found = list_found(reader(), typed) if typed else []
    if (meant := meant_job(found, typed)) is not None:
        return redirect(url_for("jobs.show", number=meant.number))
    stands = {visit.job.id: visit for visit in visits(row.job for row in found if row.job)}
    return render_template("jobs/find.html", q=typed, found=found, stands=stands)


@blueprint.get("/")
@needs("jobs", "see")
def ledger() -> str:
    tab = _tab(request.args.get("which", ""))
    jobs = list_jobs(reader(), tab, request.args.get("after", ""), PAGE + 1)
    shown, today = jobs[:PAGE], shop_now().day
    stands, rows = job_stands(reader(), [job.id for job in shown], today), ledger_rows(reader(), shown, now())
    return render_template(
        "jobs/ledger.html",
        tab=tab,
        tabs=TAB_WORDS,
        counts=count_jobs(reader()),
        sums=ledger_sums(reader(), now()) if tab is Tab.OPEN else None,
        rows=rows,
        nexts=next_acts(reader(), [(row.job, row.plan) for row in rows], stands, now()),
        stands=stands,
        today=today,
        standing_words=STANDING_WORDS,
        sample=find_sample(reader()),
        later=page_mark(shown[-1]) if len(jobs) > PAGE else None,
        is_first=not request.args.get("after"),
    )


def _tab(asked: str) -> Tab:
    return Tab(asked) if asked in set(Tab) else Tab.OPEN
