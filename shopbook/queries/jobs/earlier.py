"""What earlier jobs of the shop put on the panels of a car that is here again."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage, StagePanel
from shopbook.models.shelf import Lot, Material, Movement
from shopbook.trade.car.damage import COAT_WORDS
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.countries import Country
from shopbook.trade.letters import upper_first


@dataclass(frozen=True, slots=True)
class EarlierCoats:
    """The coats that one finished stage of an earlier job laid on one panel, and with which job."""

    job_number: int
    panel: str
    coats: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EarlierMaterial:
    """One material of the coats on one panel, and the mark on its can; empty where no batch was kept."""

    job_number: int
    panel: str
    name: str
    mark: str = ""


def coat_roles(catalogue: Catalogue) -> frozenset[str]:
    """The materials that stay on a car as coats: what is mixed to spray, and filler. Thinner and wipes do not."""
    return frozenset(_FILLERS.union(*(mix.parts for mix in catalogue.mixes.values())))


_FILLERS = frozenset({"filler", "filler_hardener", "plastic_filler"})


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


def list_earlier_materials(session: Session, job: Job, roles: Collection[str]) -> list[EarlierMaterial]:
    """What the earlier jobs drew for those coats, with the batch of each; nothing where the job is no comeback.

    What came back to the shelf whole is left out: 60 ml drawn and 60 ml returned were not put on.
    """
    if job.vehicle_id is None or job.comeback_of_id is None:
        return []
    mark = func.coalesce(Lot.mark, "")
    asked = (
        select(Job.number, StagePanel.panel, Material.name, mark)
        .join(Stage, Stage.job_id == Job.id)
        .join(StagePanel, StagePanel.stage_id == Stage.id)
        .join(Movement, Movement.stage_id == Stage.id)
        .join(Material, Material.id == Movement.material_id)
        .outerjoin(Lot, Lot.id == Movement.lot_id)
        .where(Job.vehicle_id == job.vehicle_id, Job.id < job.id, StagePanel.coats != "", Material.role.in_(roles))
        .where(Stage.finished_at.is_not(None), Stage.struck_at.is_(None))
        .group_by(Job.number, Stage.position, StagePanel.panel, Material.name, mark)
        .having(func.sum(Movement.quantity_thousandths) < 0)
        .order_by(Job.number, Stage.position, func.min(Movement.id))
    )
    return [EarlierMaterial(*row) for row in session.execute(asked)]


def earlier_words(
    found: Iterable[EarlierCoats], country: Country, materials: Iterable[EarlierMaterial] = ()
) -> tuple[str, ...]:
    """A sentence for each panel of each job, with what was used: for example "Left front door, job 12: filler, primer,
    base, clear. Used: Clear, medium solids (batch A17)"."""
    laid: dict[tuple[int, str], list[str]] = {}
    used: dict[tuple[int, str], list[str]] = {}
    for each in found:
        laid.setdefault((each.job_number, each.panel), []).extend(each.coats)
    for each_used in materials:
        batch = f" (batch {each_used.mark})" if each_used.mark else ""
        used.setdefault((each_used.job_number, each_used.panel), []).append(each_used.name + batch)
    return tuple(
        f"{upper_first(country.panel(key[1]))}, job {key[0]}: {', '.join(_said(coats, country))}"
        + (f". Used: {'; '.join(dict.fromkeys(used[key]))}" if key in used else "")
        for key, coats in laid.items()
    )


def _said(coats: Iterable[str], country: Country) -> list[str]:
    return [country.say(COAT_WORDS.get(coat, coat)) for coat in dict.fromkeys(coats)]
