"""What earlier jobs put on a car that is here again: coats by panel, with the materials and batches of a comeback."""

from datetime import datetime

from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage, StagePanel
from shopbook.models.shelf import Material
from shopbook.queries.jobs.earlier import (
    EarlierCoats,
    EarlierMaterial,
    coat_roles,
    earlier_words,
    list_earlier,
    list_earlier_materials,
)
from shopbook.services.act import Act
from shopbook.services.jobs.comebacks import open_comeback
from shopbook.services.postings import Source
from shopbook.services.shelf.stock import draw_stock, return_from_stage
from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.countries import known_country
from tests.makers.jobs import make_job, make_stage
from tests.makers.shelf import make_delivery, make_material

DOOR = "right_front_door"
ROLES = coat_roles(own_catalogue())


def sprayed(session: Session, act: Act, job: Job, material: Material, ml: int = 60, coats: str = "clear") -> Stage:
    """A finished stage of the job that laid coats on the door with so many ml of a material."""
    stage = make_stage(session, job, "Base and clear")
    stage.finished_at = act.moment
    session.query(StagePanel).filter_by(stage_id=stage.id).update({"coats": coats})
    draw_stock(act, material, ml * 1000, Source(job_id=job.id, stage_id=stage.id))
    session.flush()
    return stage


def back(act: Act, first: Job) -> Job:
    first.handed_over_at = act.moment
    return open_comeback(act, first.id, wrong="Edge shows", why="sank")


def delivered(session: Session, name: str, role: str, mark: str = "A17") -> Material:
    material = make_material(session, name, role=role, shelf_life_days=365)
    make_delivery(session, material, mark=mark)
    return material


def test_a_comeback_names_coats_materials_and_batches_of_its_first_job_by_panel(session: Session, act: Act) -> None:
    first = make_job(session)
    sprayed(session, act, first, delivered(session, "Surfacer", "surfacer", ""), coats="primer")
    sprayed(session, act, first, delivered(session, "Clear", "clear"), coats="base,clear")
    job = back(act, first)
    coats, used = list_earlier(session, job), list_earlier_materials(session, job, ROLES)
    assert coats == [
        EarlierCoats(first.number, DOOR, ("primer",)),
        EarlierCoats(first.number, DOOR, ("base", "clear")),
    ]
    assert [(each.name, each.mark) for each in used] == [("Surfacer", ""), ("Clear", "A17")]
    (said,) = earlier_words(coats, known_country("us"), used)
    assert said == f"Right front door, job {first.number}: primer, base, clear coat. Used: Surfacer; Clear (batch A17)"


def test_what_was_returned_whole_wiped_off_struck_or_is_no_comebacks_is_not_named(
    session: Session, act: Act, now: datetime
) -> None:
    first = make_job(session)
    clear = delivered(session, "Clear", "clear")
    whole, part = sprayed(session, act, first, clear), sprayed(session, act, first, clear)
    for stage, ml in ((whole, 60), (part, 20)):
        return_from_stage(act, clear, ml * 1000, Source(job_id=first.id, stage_id=stage.id))
    sprayed(session, act, first, delivered(session, "Gun wash", "gun_thinner"))
    sprayed(session, act, first, delivered(session, "Epoxy", "epoxy")).struck_at = now
    session.flush()
    job = back(act, first)
    assert list_earlier_materials(session, job, ROLES) == [EarlierMaterial(first.number, DOOR, "Clear", "A17")]
    later = make_job(session, customer_id=first.customer_id, vehicle_id=first.vehicle_id)
    assert list_earlier(session, later) != []
    assert list_earlier_materials(session, later, ROLES) == []
    assert list_earlier(session, make_job(session, vehicle_id=None, customer_id=first.customer_id)) == []
