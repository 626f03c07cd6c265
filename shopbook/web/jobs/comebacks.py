"""A car comes back after it was handed over: its new job, linked to the first."""

from wtforms import SelectField, StringField
from wtforms.validators import Optional

from shopbook.queries.jobs.jobs import get_job
from shopbook.services.jobs.comebacks import open_comeback
from shopbook.web.jobs.routes import blueprint
from shopbook.web.jobs.show import page_of
from shopbook.web.parts import Act, Answer, Done, act_by_form, needs, reader
from shopbook.web.parts.fields import DayField
from shopbook.web.parts.forms import HALVES, LINE, ActForm, choices


class ComebackForm(ActForm):
    """What is wrong with the car now, the likely cause, and when it comes in."""

    wrong = StringField("What’s wrong now?", [LINE])
    why = StringField("Likely cause", [LINE])
    drop_off_on = DayField("Drop-off", [Optional()])
    drop_off_half = SelectField("Time of day", choices=choices(HALVES))


@blueprint.route("/<int:number>/comeback", methods=["GET", "POST"])
@needs("jobs", "change")
def comeback(number: int) -> Answer:
    first = get_job(reader(), number)
    form = ComebackForm()

    def add(act: Act) -> Done:
        job = open_comeback(act, first.id, **form.clean())
        return Done(page_of(job.number), f"Booked in as a {{comeback}} of job {number}. Add the damage next.")

    return act_by_form(form, "jobs/comeback.html", add, job=first)
