"""Work that is in no plan, begun on the floor; what was found there; and what a customer said to somebody."""

from flask import request, url_for

from shopbook.queries.floor.cars import list_cars
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import get_stage
from shopbook.services.floor.clocks import start_clock
from shopbook.services.floor.spoken import note_called, note_wants_call
from shopbook.services.floor.troubles import add_own_stage
from shopbook.services.money.extras import draft_extra
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.words import OWN_WORDS
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.floor.forms import FoundForm, OwnForm, SpokenForm
from shopbook.web.parts import Act, Answer, Choices, Done, act_by_form, act_by_press, as_key, choices, needs, reader


def chosen_job(key: str | None) -> int:
    """The job that was chosen; RuleBroken when none was."""
    if not key or not key.isdecimal() or len(key) > 9:
        raise RuleBroken("Choose the car.", "job")
    return int(key)


def _cars() -> Choices:
    return choices({"": "Choose the car"} | {str(car.job_id): car.words for car in list_cars(reader())})


@blueprint.route("/own", methods=["GET", "POST"])
@needs("floor", "work")
def own() -> Answer:
    asked = request.args.get("purpose", "")
    form = OwnForm(data={"purpose": asked if asked in OWN_WORDS else "strip_and_look", "job": request.args.get("job")})
    form.job.choices = _cars()

    def begin(act: Act) -> Done:
        job_id = chosen_job(form.job.data)
        stage = add_own_stage(act, job_id, form.purpose.data or "", note=form.note.data or "")
        start_clock(act, [stage.id])
        return Done(url_for("floor.stage", stage_id=stage.id), "Running.")

    return act_by_form(form, "floor/own.html", begin)


@blueprint.route("/found", methods=["GET", "POST"])
@needs("jobs", "look")
def found() -> Answer:
    """More was found on a car than the plan holds; the desk reads it on Today, prices it and asks for the yes."""
    key = request.args.get("stage", type=as_key)
    stage = get_stage(reader(), key) if key else None
    form = FoundForm(data={"job": str(stage.job_id) if stage else request.args.get("job")})
    form.job.choices = _cars()
    back = url_for("floor.stage", stage_id=stage.id) if stage else url_for("floor.work")

    def tell(act: Act) -> Done:
        hours = {"body": form.body.data or 0, "paint": form.paint.data or 0}
        title, below = form.title.data or "", (form.below.data or "").strip()
        draft_extra(act, chosen_job(form.job.data), title=title, below=below, minutes=hours, is_only_told=True)
        return Done(back, "The desk sees it on Today. Leave it until there is a yes.")

    return act_by_form(form, "floor/found.html", tell, stage=stage, back=back)


@blueprint.route("/spoken", methods=["GET", "POST"])
@needs("floor", "work")
def spoken() -> Answer:
    has_approved = request.args.get("what") == "yes"
    form = SpokenForm(data={"job": request.args.get("job")})
    form.job.choices = _cars()

    def keep(act: Act) -> Done:
        job_id = chosen_job(form.job.data)
        note = form.note.data or ""
        note_wants_call(act, job_id, f"said yes on the floor. {note}" if has_approved else note)
        if has_approved and act.actor.may("money", "change"):
            return Done(url_for("jobs.show", number=get_job_by_id(act.session, job_id).number), "Keep the yes here.")
        return Done(url_for("floor.work"), "The desk sees it on Today.")

    return act_by_form(form, "floor/spoken.html", keep, has_approved=has_approved)


@blueprint.post("/called/<int:job_id>")
@needs("customers", "see")
def called(job_id: int) -> Answer:
    def doing(act: Act) -> Done:
        note_called(act, job_id)
        return Done(
            url_for("jobs.show", number=get_job_by_id(act.session, job_id).number), "Kept that somebody called."
        )

    return act_by_press(doing, url_for("floor.work"))
