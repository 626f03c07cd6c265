"""The page where invoice lines without keys are matched to the approved lines of their job."""

from wtforms import SelectField

from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.money.billable import agreed_work, billing_of
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.line_matches import KeylessLine, list_agreed_lines, list_keyless_lines
from shopbook.services.money.line_matches import match_lines
from shopbook.trade.billing import BillLine
from shopbook.trade.errors import NotFound
from shopbook.web.money.blueprint import blueprint, job_url
from shopbook.web.parts import (
    Act,
    ActForm,
    Answer,
    Done,
    act_by_form,
    choices,
    key_or_none,
    money,
    needs,
    reader,
    shop_now,
)


@blueprint.route("/jobs/<int:number>/match", methods=["GET", "POST"])
@needs("money", "change")
def match(number: int) -> Answer:
    job = get_job(reader(), number)
    lines = list_keyless_lines(reader(), issued_of(reader(), [job.id])[job.id].papers)
    if not lines:
        raise NotFound("Every invoice line of this job is matched already.")
    work = agreed_work(reader(), [job.id])[job.id]
    form = _form(lines, list_agreed_lines(work, billing_of(shop_now())))

    def doing(act: Act) -> Done:
        match_lines(act, job.id, {line.line_id: key_or_none(form[f"line_{line.line_id}"].data) or 0 for line in lines})
        return Done(job_url(number), "Saved.")

    return act_by_form(form, "money/match.html", doing, job=job, lines=lines)


def _form(lines: list[KeylessLine], agreed: list[BillLine]) -> ActForm:
    """One choice a line: what a person chose before, else the only approved line of the same sum, else nothing."""
    offered = choices({"": "choose"} | {str(row.key): f"{row.titled}, {money(row.net_minor)}" for row in agreed})
    fields = {}
    for line in lines:
        same = [row.key for row in agreed if row.net_minor == line.net_minor]
        likely = line.key or (same[0] if len(same) == 1 else "")
        label = f"{line.words}, {money(line.net_minor)}"
        fields[f"line_{line.line_id}"] = SelectField(label, choices=offered, default=str(likely), validate_choice=False)
    made: ActForm = type("MatchForm", (ActForm,), fields)()
    return made
