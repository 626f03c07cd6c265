"""Trouble on a stage: its kind and coat, the likely causes, what to do now and next time, the rework it adds."""

from flask import render_template, url_for

from shopbook.queries.floor.troubles import find_mending
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import get_stage
from shopbook.services.floor.troubles import Report, report_trouble
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.errors import NotFound
from shopbook.trade.trouble.advice import TROUBLES
from shopbook.trade.trouble.kinds import FOUND_WORDS, Defect, FoundIn
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.floor.forms import TroubleForm
from shopbook.web.floor.kept import stage_stands
from shopbook.web.parts import Act, Answer, Choices, Done, act_by_form, choices, country, needs, reader, shop_now
from shopbook.web.parts.late import may_wait


@blueprint.get("/stages/<int:stage_id>/trouble")
@needs("jobs", "look")
def trouble(stage_id: int) -> str:
    stage = get_stage(reader(), stage_id)
    return render_template(
        "floor/trouble.html",
        stage=stage,
        job=get_job_by_id(reader(), stage.job_id),
        troubles=TROUBLES.values(),
        likely=_likely(stage.code),
    )


def _likely(code: str) -> FoundIn:
    """The coat where trouble shows first on a stage of this kind."""
    if code in {StageCode.PRIME, StageCode.BLOCK, StageCode.PRIME_PART, StageCode.SEAL, StageCode.SCUFF_PRIMER}:
        return FoundIn.PRIMER
    return FoundIn.BASE if code in {StageCode.SCUFF_BASE, StageCode.COLOUR} else FoundIn.CLEAR


@blueprint.route("/stages/<int:stage_id>/trouble/<kind>/<coat>", methods=["GET", "POST"])
@needs("jobs", "look")
@may_wait("Trouble", stage_stands)
def trouble_found(stage_id: int, kind: str, coat: str) -> Answer:
    stage = get_stage(reader(), stage_id)
    defect, found = _read_kind(kind, coat)
    panels = [each.panel for each in stage.panels]
    form = TroubleForm(data={"panels": panels})
    form.panels.choices = choices({panel: country().floor_panel(panel) for panel in panels})
    form.cause.choices = _causes(defect)

    def report(act: Act) -> Done:
        cause = (form.other.data or "").strip() or form.cause.data or ""
        where, again = tuple(form.panels.data or ()), bool(form.is_returned.data)
        told = Report(defect, found, cause, form.note.data or "", is_returned=again, panels=where)
        added = report_trouble(act, stage_id, told)
        return Done(url_for("floor.work"), f"Saved. Added to the plan: {', '.join(one.name for one in added)}.")

    kinds = shop_now().catalogue.stages
    adds = [kinds[code].name for code in find_mending(reader(), stage, defect, found).codes]
    shown = {"trouble": TROUBLES[defect], "coat": FOUND_WORDS[found], "adds": adds, "found": found}
    shown |= {"found_words": FOUND_WORDS, "job": get_job_by_id(reader(), stage.job_id)}
    return act_by_form(form, "floor/trouble_found.html", report, stage=stage, **shown)


def _causes(defect: Defect) -> Choices:
    """The likely causes to choose from; the chosen one is saved in the words on the screen."""
    causes = [country().say(cause) for cause in TROUBLES[defect].causes]
    return choices({cause: cause for cause in causes} | {"": "Not known"})


def _read_kind(kind: str, coat: str) -> tuple[Defect, FoundIn]:
    try:
        return Defect(kind), FoundIn(coat)
    except ValueError:
        raise NotFound("There is no such trouble in the list.") from None
