"""Pictures of a job: sent up, shown, removed. They are served to whoever may see the job, and to nobody else."""

from flask import flash, g, redirect, request
from werkzeug.wrappers import Response

from shopbook.queries.jobs.damage import get_picture
from shopbook.queries.jobs.jobs import get_job
from shopbook.services.jobs.pictures import record_picture, strike_picture
from shopbook.trade.car.pictures import PicturePurpose
from shopbook.trade.errors import NotAllowed
from shopbook.web.jobs.routes import blueprint
from shopbook.web.jobs.show import page_of
from shopbook.web.parts import Act, Answer, Done, act_by_press, as_key, does, needs, reader
from shopbook.web.parts.late import Concern, is_told, may_wait, tell_refused
from shopbook.web.parts.photos import keep_sent, serve_picture
from shopbook.web.parts.rows import Picture


@blueprint.post("/<int:number>/pictures")
@needs("jobs", "look")
@may_wait("Save photos", lambda number: Concern(about=f"job {number}"))
def add_pictures(number: int) -> Answer:
    get_job(reader(), number)
    damage_id = request.form.get("damage_id", type=as_key)
    caption = request.form.get("caption", "").strip()
    given = request.form.get("purpose", "")
    purpose = given if given in set(PicturePurpose) else PicturePurpose.DAMAGE
    kept, troubles = keep_sent()
    if not kept:
        return _refuse_photos(number, troubles or ["Choose a photo first."])
    for sentence in troubles:
        flash(sentence, "late")

    def record(act: Act) -> Done:
        job = get_job(act.session, number)
        for picture in kept:
            record_picture(act, job.id, picture, damage_id, purpose, caption)
        return Done(page_of(number, "damage"), "Saved the photo." if len(kept) == 1 else f"Saved {len(kept)} photos.")

    return act_by_press(record, page_of(number))


def _refuse_photos(number: int, troubles: list[str]) -> Response:
    """None of the photos could be kept; a phone that asks is told so, any other page is led back with the sentences."""
    if is_told():
        return tell_refused(troubles, 422)
    for sentence in troubles:
        flash(sentence, "late")
    return redirect(page_of(number, "damage"), 303)


@blueprint.post("/<int:number>/pictures/<int:picture_id>/strike")
@needs("jobs", "change")
def strike_photo(number: int, picture_id: int) -> Response:
    strike = does(lambda act: strike_picture(act, picture_id), page_of(number, "damage"), "Removed.")
    return act_by_press(strike, page_of(number))


@blueprint.get("/pictures/<int:picture_id>")
@needs("jobs", "see")
def picture(picture_id: int) -> Response:
    return serve_picture(_shown(picture_id).sha256)


@blueprint.get("/pictures/<int:picture_id>/small")
@needs("jobs", "see")
def small_picture(picture_id: int) -> Response:
    return serve_picture(_shown(picture_id).thumbnail_sha256)


def _shown(picture_id: int) -> Picture:
    """A picture that this person may see: what a customer wrote has their number on it and is the desk's."""
    found = get_picture(reader(), picture_id)
    if found.purpose == PicturePurpose.MESSAGE and not g.actor.may("customers", "see"):
        raise NotAllowed("You don’t have access to the customer’s messages.")
    return found
