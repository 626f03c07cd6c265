"""Spray records: what was really sprayed on a stage, saved so that the next job in the colour can start from it."""

from shopbook.models.floor import SprayRecord
from shopbook.queries.floor.sprays import plain_code
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.plans import get_stage
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.air.spray_record import Spraying, check_record
from shopbook.trade.coating.paints import Paint
from shopbook.trade.errors import RuleBroken


def keep_spray_record(
    act: Act,
    stage_id: int,
    sprayed: Spraying,
    *,
    variant: str = "",
) -> SprayRecord:
    """Save one spraying of a stage.

    The colour code falls back on the car's. RuleBroken beside the first impossible figure, and for a day
    outside the time that the job was in the book.
    """
    checked = check_record(sprayed)
    stage = get_stage(act.session, stage_id)
    job = get_job_by_id(act.session, stage.job_id)
    if not job.opened_on <= checked.on <= act.day:
        raise RuleBroken("Enter a day between the start of the job and today.", "on")
    code = checked.colour_code.strip() or (job.vehicle.colour_code if job.vehicle else "")
    gun = {
        "tip_mm": checked.tip_mm,
        "inlet_bar": checked.inlet_bar,
        "distance_cm": checked.distance_cm,
        "overlap_percent": checked.overlap_percent,
        "coats": checked.coats,
    }
    record = SprayRecord(
        job_id=job.id,
        stage_id=stage.id,
        product=Paint(checked.paint),
        colour_code=plain_code(code)[:200],
        variant=variant.strip(),
        temperature_tenths=None if checked.temperature_c is None else round(checked.temperature_c * 10),
        humidity_percent=None if checked.humidity_percent is None else round(checked.humidity_percent),
        gun={key: value for key, value in gun.items() if value is not None},
        lots=list(checked.lots),
        note=checked.note.strip(),
        at=act.moment,
        on=checked.on,
        person_id=act.actor.person_id,
    )
    act.session.add(record)
    act.session.flush()
    words = f"Saved what was sprayed on {stage.name}"
    write_log(act, "keep_spray_record", "stage", stage.id, words, job_id=job.id)
    return record
