"""A job from a call or from a look at the car: customer and car, then the damage and its plan."""

from collections.abc import Mapping, Sequence
from datetime import date

from shopbook.models.customers import Customer
from shopbook.models.jobs import Job
from shopbook.queries.jobs.continuing import is_bare
from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.act import Act
from shopbook.services.jobs.damage import add_damage
from shopbook.services.jobs.drafting import draft_plan
from shopbook.services.jobs.jobs import open_job, plan_days
from shopbook.services.jobs.whose import Whose, find_or_add_who, name_who_and_car
from shopbook.trade.customer_kinds import CustomerKind
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.planning.kerb import KerbAnswer, kerb_damages
from shopbook.trade.who import read_who


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
    is_nameless: bool = False,
) -> Job:
    """A job with the damage that was tapped and its drafted plan. `words` names panels that are not drawn; with `whose`
    the job is for a customer and a car of the book. `is_nameless`: done at once, and needs neither.

    RuleBroken without a customer or a car, without a line that says what is wrong, or without a panel.
    """
    if not answers:
        raise RuleBroken("Tap at least one damaged panel.", "panels")
    customer, vehicle = None, None
    is_nameless = is_nameless and whose is None and not f"{who}{car}{plate}".strip()
    if not is_nameless:
        customer, vehicle = find_or_add_who(act, who, car=car, plate=plate, same_car=same_car, whose=whose)
    job = open_job(
        act,
        customer_id=customer.id if customer else None,
        vehicle_id=vehicle.id if vehicle else None,
        wrong=wrong,
        payer_kind=_who_pays(customer),
        is_nameless=is_nameless,
    )
    return _tap(act, job, answers, words or {})


def _who_pays(customer: Customer | None) -> str:
    """The kind of payer of a price said to a customer; what an insurer brings is paid by nobody known yet."""
    return customer.kind if customer and customer.kind != CustomerKind.INSURER else CustomerKind.PRIVATE


def continue_job(
    act: Act,
    number: int,
    *,
    answers: Sequence[KerbAnswer],
    who: str = "",
    car: str = "",
    plate: str = "",
    whose: Whose | None = None,
    words: Mapping[str, str] | None = None,
) -> Job:
    """The open job of a car that was booked in gets the damage that was tapped and its drafted plan.

    Its customer, its days and its words stay; a customer or a car that it had not is added. RuleBroken without a
    panel; Conflict once something was priced, found or approved on it.
    """
    if not answers:
        raise RuleBroken("Tap at least one damaged panel.", "panels")
    job = get_job(act.session, number)
    if not is_bare(act.session, job.id):
        raise Conflict("That job has damage or a price by now. Open it, and change it there.")
    _add_missing(act, job, who, (car, plate), whose)
    return _tap(act, get_job(act.session, number), answers, words or {})


def _add_missing(act: Act, job: Job, typed: str, car: tuple[str, str], whose: Whose | None) -> None:
    who, (owner_id, car_id) = read_who(typed), whose or (None, None)
    plate = car[1].strip() or who.plate
    is_person_new = job.customer_id is None and any((owner_id, who.name, who.phone))
    is_car_new = job.vehicle_id is None and any((car_id, car[0].strip(), plate))
    if is_person_new or is_car_new:
        named = typed if is_person_new else ""
        name_who_and_car(act, job.id, revision=job.revision, who=named, car=car[0], plate=plate, whose=whose)


def _tap(act: Act, job: Job, answers: Sequence[KerbAnswer], words: Mapping[str, str]) -> Job:
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
            panel_words=words.get(damage.panel, ""),
        )
    draft_plan(act, job.id)
    return job
