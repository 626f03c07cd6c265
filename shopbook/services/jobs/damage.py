"""Damage is added, changed and removed, and gauge readings are saved."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from shopbook.models.jobs import Damage, GaugeReading, Job
from shopbook.queries.jobs.damage import get_damage, last_damage_number
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.planning import draft_damage, planning_of
from shopbook.queries.shop.book import get_units
from shopbook.services.act import Act
from shopbook.services.jobs.history import log_job
from shopbook.services.postings import is_changed
from shopbook.trade.car.damage import ASKED_OF
from shopbook.trade.coating.coats import reading_says
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.said_units import in_units
from shopbook.trade.planning.checking import check_damage
from shopbook.trade.planning.clear_stop import has_no_gap
from shopbook.trade.planning.shapes import DamageKind, DepthStep, PaintChoice, SizeStep, Substrate
from shopbook.trade.planning.surfaces import usual_paint

LONGEST_MM = 6000
LISTS = frozenset({"crosses", "blend_into"})
"""What is kept comma-separated."""

_PLAIN: dict[str, Any] = {
    "panel_words": "",
    "size": SizeStep.M,
    "length_mm": None,
    "width_mm": None,
    "depth": DepthStep.SHALLOW,
    "depth_um": None,
    "dent_count": 0,
    "dent_class_mm": 0,
    "crosses": (),
    "access": "",
    "substrate": Substrate.UNKNOWN,
    "is_paint_sound": False,
    "paint": PaintChoice.PAINT,
    "reach": "",
    "chip_count": 0,
    "plastic": "",
    "was_filled": False,
    "is_epoxy_first": False,
    "clear_stop": "",
    "blend_into": (),
    "note": "",
}


def as_asked(given: Mapping[str, Any], *, most_chips: int) -> dict[str, Any]:
    """What was typed of a damage, less what its kind or panel does not ask for; paint as usual where nobody chose."""
    kind, panel = given["kind"], given["panel"]
    kept = dict(given)
    for name, kinds in ASKED_OF.items():
        if name in kept and kind not in kinds:
            kept[name] = _PLAIN[name]
    if not has_no_gap(panel):
        kept["clear_stop"] = _PLAIN["clear_stop"]
    if not kept["paint"]:
        kept["paint"] = usual_paint(
            kind,
            depth=kept["depth"],
            reach=kept["reach"],
            chip_count=kept["chip_count"],
            is_paint_sound=kept["is_paint_sound"],
            most_chips=most_chips,
        )
    if kept["paint"] != PaintChoice.BLEND:
        kept["blend_into"] = ()
    return kept


def add_damage(act: Act, job_id: int, *, panel: str, kind: str = DamageKind.DENT, **given: Any) -> Damage:
    """Add one damage with the next number.

    `given`: panel_words, size, length_mm, width_mm, depth, depth_um, dent_count, dent_class_mm, crosses (a collection),
    access, substrate, is_paint_sound, paint, reach, chip_count, plastic, was_filled, is_epoxy_first, clear_stop,
    blend_into (a collection), note. RuleBroken with its field for what no panel can be.
    """
    _refuse_unknown(given)
    job = get_job_by_id(act.session, job_id)
    damage = Damage(job_id=job.id, number=last_damage_number(act.session, job.id) + 1)
    _describe(damage, _PLAIN | given | {"panel": panel, "kind": kind})
    _check(act.session, job, damage, act.moment)
    act.session.add(damage)
    act.session.flush()
    log_job(act, "add_damage", job, f"Added damage {damage.number}")
    return damage


def change_damage(act: Act, damage_id: int, **given: Any) -> Damage:
    """Change a damage; fields that are not given stay."""
    _refuse_unknown({name: value for name, value in given.items() if name not in {"panel", "kind"}})
    damage = get_damage(act.session, damage_id)
    job = get_job_by_id(act.session, damage.job_id)
    with act.session.no_autoflush:
        _describe(damage, given)
        _check(act.session, job, damage, act.moment)
    if not is_changed(act, damage):
        return damage
    act.session.flush()
    log_job(act, "change_damage", job, f"Changed damage {damage.number}")
    return damage


def strike_damage(act: Act, damage_id: int) -> Damage:
    """Remove a damage; it stays in the book as removed."""
    damage = get_damage(act.session, damage_id)
    damage.struck_at = damage.struck_at or act.moment
    job = get_job_by_id(act.session, damage.job_id)
    log_job(act, "strike_damage", job, f"Removed damage {damage.number}")
    return damage


def add_reading(
    act: Act,
    job_id: int,
    *,
    panel: str,
    spot: str,
    value: float,
    unit: str = "um",
) -> GaugeReading:
    """One reading of the coating gauge; `unit` is um or mil. It is kept in whole µm: this is where it is rounded."""
    job = get_job_by_id(act.session, job_id)
    reading = reading_says(value, unit, spot)
    if reading.um > 20_000:
        raise RuleBroken("Enter a reading from 0 to 20,000 µm.", "value")
    kept = GaugeReading(
        job_id=job.id,
        panel=panel,
        spot=spot[:200],
        film_um=round(reading.um),
        at=act.moment,
        person_id=act.actor.person_id,
    )
    act.session.add(kept)
    act.session.flush()
    log_job(act, "add_reading", job, in_units(f"Measured {kept.film_um} µm", get_units(act.session)))
    return kept


def _describe(damage: Damage, given: dict[str, Any]) -> None:
    for name, value in given.items():
        setattr(damage, name, ",".join(sorted(value)) if name in LISTS else value)


def _check(session: Session, job: Job, damage: Damage, now: datetime) -> None:
    for field in ("length_mm", "width_mm"):
        if (getattr(damage, field) or 0) > LONGEST_MM:
            raise RuleBroken("That is longer than a car. Check the measurement.", field)
    check_damage(planning_of(session, job, now).catalogue, draft_damage(damage))


def _refuse_unknown(given: dict[str, Any]) -> None:
    if set(given) - set(_PLAIN):
        raise TypeError(f"unknown fields: {sorted(set(given) - set(_PLAIN))}")
