"""A job from a call or from a look at the car: customer and car, then the damage and its plan."""

from collections.abc import Mapping, Sequence
from datetime import date

from shopbook.models.jobs import Job
from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.act import Act
from shopbook.services.jobs.damage import add_damage
from shopbook.services.jobs.drafting import draft_plan
from shopbook.services.jobs.jobs import open_job, plan_days
from shopbook.services.jobs.whose import Whose, find_or_add_who
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.kerb import KerbAnswer, kerb_damages


def book_car_in(
    act: Act,
    *,
    wrong: str,
    payer_kind: str,
    purpose: str,
    who: str = "",
    car: str = "",
    plate: str = "",
    same_car: str = "",
    whose: Whose | None = None,
    drop_off_on: date | None = None,
    drop_off_half: str = "",
) -> Job:
    """A job for a car that is booked in: of `whose` (customer and vehicle by id), else of whoever `who` names."""
    customer, vehicle = find_or_add_who(act, who, car=car, plate=plate, same_car=same_car, whose=whose)
    job = open_job(
        act,
        customer_id=customer.id if customer else None,
        vehicle_id=vehicle.id if vehicle else None,
        wrong=wrong,
        payer_kind=payer_kind,
        purpose=purpose,
    )
    if drop_off_on is not None:
        plan_days(act, job.id, drop_off_on, drop_off_half, None, "")
    return job


def open_kerb_job(
    act: Act,
    *,
    who: str,
    wrong: str,
    answers: Sequence[KerbAnswer],
    car: str = "",
    plate: str = "",
    same_car: str = "",
    whose: Whose | None = None,
    words: Mapping[str, str] | None = None,
) -> Job:
    """A job with the damage that was tapped and its drafted plan. `words` names panels that are not drawn; with `whose`
    the job is for a customer and a car of the book.

    RuleBroken without a customer or a car, without a line that says what is wrong, or without a panel.
    """
    if not answers:
        raise RuleBroken("Tap at least one damaged panel.", "panels")
    customer, vehicle = find_or_add_who(act, who, car=car, plate=plate, same_car=same_car, whose=whose)
    job = open_job(
        act,
        customer_id=customer.id if customer else None,
        vehicle_id=vehicle.id if vehicle else None,
        wrong=wrong,
        payer_kind=customer.kind if customer and customer.kind != "insurer" else "private",
    )
    for damage in kerb_damages(answers, catalogue_on(act.session, act.day)):
        add_damage(
            act,
            job.id,
            panel=damage.panel,
            kind=damage.kind,
            size=damage.size,
            dent_count=damage.dent_count,
            dent_class_mm=damage.dent_class_mm,
            substrate=damage.substrate,
            is_paint_sound=damage.is_paint_sound,
            paint=damage.paint,
            panel_words=(words or {}).get(damage.panel, ""),
        )
    draft_plan(act, job.id)
    return job
