"""Trouble on a stage: saved with its cause, and the stages that mend it in the plan; the cost stays on the job."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.floor import Trouble
from shopbook.models.jobs import Stage
from shopbook.queries.floor.troubles import find_mending
from shopbook.queries.floor.windows import list_passed_windows
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import get_stage
from shopbook.queries.shop.book import country_of, get_book
from shopbook.services.act import Act
from shopbook.services.floor.clocks import close_overdue_clocks
from shopbook.services.jobs.doing import refuse_over
from shopbook.services.jobs.drafting import write_edges
from shopbook.services.jobs.leaving import take_ready_back
from shopbook.services.jobs.order import add_passed_window_stage
from shopbook.services.jobs.plans import add_stage
from shopbook.services.jobs.rework import USUAL_MINUTES, add_rework
from shopbook.services.postings import write_log
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.words import OWN_WORDS
from shopbook.trade.permissions import THE_PROGRAM, Actor
from shopbook.trade.purposes import StagePurpose
from shopbook.trade.trouble.advice import TROUBLES
from shopbook.trade.trouble.kinds import Defect, FoundIn


@dataclass(frozen=True, slots=True)
class Report:
    """What somebody saw: the kind of trouble, in which coat, why, and whether it came back after it was mended once."""

    defect: Defect
    found: FoundIn
    cause: str = ""
    note: str = ""
    is_returned: bool = False
    panels: tuple[str, ...] = ()
    """On which of the stage's panels; none named means all of them."""


def report_trouble(act: Act, stage_id: int, report: Report) -> list[Stage]:
    """Keep a trouble and add the stages that mend it, one after another, behind the one it was found on or unmasking.

    They are rework: they need no approval, are never billed, and their hours and materials stay on this job. A car
    that was marked ready is not ready any more. RuleBroken where that trouble cannot show in that coat.
    """
    stage = get_stage(act.session, stage_id)
    job = get_job_by_id(act.session, stage.job_id)
    refuse_over(job)
    panels = _panels_of(stage, report)
    mending = find_mending(
        act.session, stage, report.defect, report.found, is_returned=report.is_returned, panels=panels
    )
    if job.ready_at is not None:
        take_ready_back(act, job.id)
    name = country_of(get_book(act.session)).say(TROUBLES[report.defect].name)
    added = add_rework(
        act,
        job,
        mending.codes,
        behind_id=mending.behind.id,
        panels=panels,
        why=f"{name} on {stage.name}",
        rework_of_id=stage.id,
    )
    trouble = Trouble(
        job_id=job.id,
        stage_id=stage.id,
        kind=report.defect,
        cause=report.cause.strip()[:200],
        note=report.note.strip(),
        rework_stage_id=added[0].id if added else None,
        at=act.moment,
        on=act.day,
        person_id=act.actor.person_id,
    )
    act.session.add(trouble)
    act.session.flush()
    words = f"{name} on {stage.name}: {len(added)} stage{'s' if len(added) != 1 else ''} added"
    write_log(act, "report_trouble", "trouble", trouble.id, words, job_id=job.id)
    return added


def _panels_of(stage: Stage, report: Report) -> list[str]:
    """Where it is done again: on the panels that were named, else on all panels of the stage."""
    there = [each.panel for each in stage.panels]
    return [panel for panel in there if panel in report.panels] or there


def add_own_stage(
    act: Act,
    job_id: int,
    purpose: str,
    *,
    note: str = "",
    skill: str = "",
    minutes: int = USUAL_MINUTES,
) -> Stage:
    """A stage of a kind that needs no approval, begun on the floor: strip and inspect, rework, goodwill, our own car.

    It stands at the end of the plan and nothing waits for it. RuleBroken for any other kind.
    """
    if purpose not in OWN_WORDS:
        raise RuleBroken("Choose what kind of work it is.", "purpose")
    kind = StagePurpose(purpose)
    stage = add_stage(
        act,
        job_id,
        name=OWN_WORDS[kind] + (f": {note.strip()}" if note.strip() else ""),
        skill=skill or _first_skill(act.actor),
        minutes=minutes,
        code=kind,
        purpose=kind,
        why="started on the floor",
    )
    write_edges(act.session, {stage.id: set()})
    return get_stage(act.session, stage.id)


def _first_skill(actor: Actor) -> str:
    return next((skill for skill in Skill if skill in actor.skills), Skill.BODY)


def add_passed_windows(session: Session, now: datetime) -> list[Stage]:
    """For every recoat window that has passed, the stage that it requires; nothing is added twice."""
    made = [add_passed_window_stage(Act(session, THE_PROGRAM, now), each) for each in list_passed_windows(session, now)]
    return [stage for stage in made if stage is not None]


def settle_floor(session: Session, now: datetime) -> int:
    """What follows from the time alone: clocks past lunch or closing stop, passed windows add their stages.

    Called whenever somebody looks at the floor or acts on it, and daily; answers how many things changed.
    """
    return close_overdue_clocks(session, now) + len(add_passed_windows(session, now))
