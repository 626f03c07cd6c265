"""The page on which invoice lines from before keys are matched to the approved lines of their job."""

from wtforms import SelectField

from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.money.billable import agreed_work, billing_day
from shopbook.queries.money.issued import issued_of
from shopbook.queries.money.line_matches import AgreedLine, KeylessLine, list_agreed_lines, list_keyless_lines
from shopbook.queries.shop.days import day_of
from shopbook.services.act import Act
from shopbook.services.money.line_matches import match_lines
from shopbook.trade.errors import NotFound
from shopbook.web.money.blueprint import blueprint, job_url
from shopbook.web.parts.act import Answer, Done, act_by_form, now, reader
from shopbook.web.parts.forms import ActForm, choices
from shopbook.web.parts.frame import money
from shopbook.web.parts.guards import needs
from shopbook.web.parts.keys import key_or_none


@blueprint.route("/jobs/<int:number>/match", methods=["GET", "POST"])
@needs("money", "change")
def match(number: int) -> Answer:
    job = get_job(reader(), number)
    lines = list_keyless_lines(reader(), issued_of(reader(), [job.id])[job.id].papers)
    if not lines:
        raise NotFound("Every invoice line of this job has its key: there is nothing to match.")
    work = agreed_work(reader(), [job.id])[job.id]
    form = _form(lines, list_agreed_lines(reader(), work, billing_day(reader(), day_of(reader(), now()))))

    def doing(act: Act) -> Done:
        match_lines(act, job.id, {line.line_id: key_or_none(form[f"line_{line.line_id}"].data) or 0 for line in lines})
        return Done(job_url(number), "Saved. What is left to bill is known again.")

    return act_by_form(form, "money/match.html", doing, job=job, lines=lines)


def _form(lines: list[KeylessLine], agreed: list[AgreedLine]) -> ActForm:
    """One choice a line: what a person said before, else the only agreed line of the same sum, else nothing."""
    offered = choices({"": "choose"} | {str(row.key): f"{row.words}, {money(row.net_minor)}" for row in agreed})
    fields = {}
    for line in lines:
        same = [row.key for row in agreed if row.net_minor == line.net_minor]
        likely = line.key or (same[0] if len(same) == 1 else "")
        label = f"{line.words}, {money(line.net_minor)}"
        fields[f"line_{line.line_id}"] = SelectField(label, choices=offered, default=str(likely), validate_choice=False)
    made: ActForm = type("MatchForm", (ActForm,), fields)()
    return made
