"""What earlier jobs of the shop put on the panels of a car that is here again."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage, StagePanel
from shopbook.trade.car.damage import COAT_WORDS
from shopbook.trade.countries import Country
from shopbook.trade.letters import upper_first


@dataclass(frozen=True, slots=True)
class EarlierCoats:
    """The coats that one finished stage of an earlier job laid on one panel, and with which job."""

    job_number: int
    panel: str
    coats: tuple[str, ...]


def list_earlier(session: Session, job: Job) -> list[EarlierCoats]:
    """What was laid on this car by its earlier jobs, oldest first; nothing for a car that nobody entered."""
    if job.vehicle_id is None:
        return []
    asked = (
        select(Job.number, StagePanel.panel, StagePanel.coats)
        .join(Stage, Stage.job_id == Job.id)
        .join(StagePanel, StagePanel.stage_id == Stage.id)
        .where(Job.vehicle_id == job.vehicle_id, Job.id < job.id, StagePanel.coats != "")
        .where(Stage.finished_at.is_not(None), Stage.struck_at.is_(None))
        .order_by(Job.number, Stage.position)
    )
    return [EarlierCoats(number, panel, tuple(coats.split(","))) for number, panel, coats in session.execute(asked)]


def earlier_words(found: Iterable[EarlierCoats], country: Country) -> tuple[str, ...]:
    """A sentence for each panel of each job: for example "Left front door, job 12: filler, primer, base"."""
    laid: dict[tuple[int, str], list[str]] = {}
    for each in found:
        laid.setdefault((each.job_number, each.panel), []).extend(each.coats)
    return tuple(
        f"{upper_first(country.panel(panel))}, job {number}: {', '.join(_said(coats, country))}"
        for (number, panel), coats in laid.items()
    )


def _said(coats: Iterable[str], country: Country) -> list[str]:
    return [country.say(COAT_WORDS.get(coat, coat)) for coat in dict.fromkeys(coats)]
