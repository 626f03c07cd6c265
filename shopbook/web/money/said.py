"""What both kinds of approval are saved with: when it was given, who took the call, its words and its picture."""

from datetime import datetime
from typing import TypedDict

from wtforms import FileField

from shopbook.outside.pictures import keep_picture
from shopbook.services.jobs.pictures import record_picture
from shopbook.trade.agreeing.words import ApprovalMeans
from shopbook.trade.car.pictures import KeptPicture, PicturePurpose
from shopbook.trade.errors import RuleBroken
from shopbook.web.money.blueprint import shop_config
from shopbook.web.money.forms import KeptApprovalForm
from shopbook.web.parts import Act, choices, key_or_none, now, shop_now, today


def given_now() -> dict[str, object]:
    """Day and time of an approval that is given at this moment."""
    local = now().astimezone(shop_now().zone)
    return {"day": local.date(), "clock": local.time()}


def offer_call(form: KeptApprovalForm) -> None:
    form.taken_by.choices = choices({str(person.id): person.name for person in shop_now().people})


class Said(TypedDict):
    """What both kinds of approval have: when, in which words, on which picture, at which revision of the quote."""

    words: str
    still_holds: bool
    revision: int | None
    picture_id: int | None
    said_at: datetime | None
    taken_by_id: int | None


def _said_at(form: KeptApprovalForm) -> datetime | None:
    """The moment that was typed, None for now. RuleBroken where a day has no time."""
    if form.clock.data is None:
        if form.day.data is not None and form.day.data != today():
            raise RuleBroken("Enter the time too, for example 9:40.", "clock")
        return None
    return shop_now().opening.moment(form.day.data or today(), form.clock.data)


def _taker(form: KeptApprovalForm) -> int | None:
    """Who took the call of an approval by phone, as pressed. RuleBroken where nobody was."""
    taken_by = key_or_none(form.taken_by.data)
    if form["means"].data == ApprovalMeans.PHONE and taken_by is None:
        raise RuleBroken("Choose who took the call.", "taken_by")
    return taken_by


def said_with(act: Act, job_id: int, form: KeptApprovalForm, picture: KeptPicture | None) -> Said:
    """What was typed of it, with the picture of the message recorded if one came."""
    purpose = PicturePurpose.MESSAGE
    return Said(
        words=form.words.data or "",
        still_holds=bool(form.still_holds.data),
        revision=form.revision.data,
        picture_id=record_picture(act, job_id, picture, purpose=purpose).id if picture else None,
        said_at=_said_at(form),
        taken_by_id=_taker(form),
    )


def sent_picture(field: FileField) -> KeptPicture | None:
    """The picture that came with the form, kept on the disk before anything is recorded; a fault goes to its field."""
    sent = field.data
    if not getattr(sent, "filename", ""):
        return None
    try:
        return keep_picture(sent.stream, shop_config().pictures_folder)
    except RuleBroken as broken:
        field.process_errors = [broken.sentence]
        return None
