"""Margins of jobs: planned beside actual, rework apart, what came after hand-over, and how many statements it takes."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import event
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare
from shopbook.models.jobs import Job, JobPart, Stage, StageUse
from shopbook.models.shelf import Material, Movement
from shopbook.queries.money.margins import job_margin, margins
from shopbook.services.act import Act
from shopbook.services.jobs.parts import add_part, part_came
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.catalogue.kinds import WayUsed
from shopbook.trade.permissions import Actor
from tests.makers import shelf
from tests.makers.billing import make_agreed_job

TODAY = date(2026, 11, 5)


def add_stage(session: Session, job: Job, minutes: int, purpose: str = "plan", **given: object) -> Stage:
    words = {name: "" for name in ("code", "name", "quote_group_key", "added_why")}
    lists: dict[str, list[str]] = {name: [] for name in ("cautions", "steps", "reasons", "mixes")}
    stage = Stage(
        job_id=job.id,
        position=1,
        skill="body",
        purpose=purpose,
        standard_minutes=minutes,
        planned_minutes=minutes,
        **words,
        **lists,
        **given,
    )
    session.add(stage)
    session.flush()
    return stage


def clock(session: Session, who: Actor, stage: Stage, on: date, at: datetime, minutes: int, cost: int) -> None:
    entry = ClockEntry(
        person_id=who.person_id,
        at=at,
        on=on,
        started_at=at,
        stopped_at=at + timedelta(minutes=minutes),
        minutes=minutes,
        what="stage",
    )
    session.add(entry)
    session.flush()
    session.add(
        ClockShare(
            entry_id=entry.id, stage_id=stage.id, job_id=stage.job_id, minutes=minutes, cost_minor=cost, is_agreed=True
        )
    )
    session.flush()


def test_a_job_shows_planned_beside_actual_and_what_it_comes_to(session: Session, owner: Actor, now: datetime) -> None:
    """An hour costs 31.00 here: 2 h planned and 2.5 h taken on a finished stage, 1 h still to come, 12.00 of rework."""
    job = make_agreed_job(session, now)
    done = add_stage(session, job, 120, finished_at=now)
    add_stage(session, job, 60)
    rework = add_stage(session, job, 0, "rework", finished_at=now)
    clock(session, owner, done, TODAY, now, 150, 7750)
    clock(session, owner, rework, TODAY, now, 23, 1200)
    session.add(
        JobPart(
            job_id=job.id,
            kind="part",
            name="clip set",
            source="new",
            cost_minor=1500,
            came_at=now,
            came_on=TODAY,
        )
    )
    session.flush()
    found = job_margin(session, job.id, TODAY)
    assert (found.margin.planned.revenue_minor, found.margin.planned.costs.labour_minor) == (80300, 9300)
    assert (found.so_far.labour_minor, found.so_far.rework_minor, found.so_far.parts_minor) == (7750, 1200, 1500)
    assert found.to_come.labour_minor == 3100
    assert found.margin.expected.margin_minor == 80300 - 7750 - 3100 - 1200 - 1500


def test_materials_count_at_issue_cost_and_returns_come_off(session: Session, owner: Actor, now: datetime) -> None:
    job = make_agreed_job(session, now)
    stage = add_stage(session, job, 60, finished_at=now)
    material = shelf.make_material(session)
    assert isinstance(material, Material)
    for kind, value in (("issued", -900), ("returned_from_stage", 200), ("wasted", -5000)):
        session.add(
            Movement(
                material_id=material.id,
                kind=kind,
                at=now,
                on=TODAY,
                quantity_thousandths=-1,
                value_minor=value,
                job_id=job.id,
                stage_id=stage.id,
            )
        )
    session.flush()
    assert job_margin(session, job.id, TODAY).so_far.materials_minor == 700


@pytest.mark.parametrize(
    ("role", "way", "guess_cost_minor", "is_lacking"),
    [
        ("a clear of no price", WayUsed.MEASURED, None, True),
        ("a clear of no price", WayUsed.MEASURED, 450, False),
        ("tape", WayUsed.SHOP_SUPPLIES, None, False),
        ("colour", WayUsed.MEASURED, None, False),
    ],
)
def test_only_what_a_job_pays_for_and_has_no_price_is_said_to_be_left_out(
    session: Session, now: datetime, role: str, way: WayUsed, guess_cost_minor: int | None, is_lacking: bool
) -> None:
    job = make_agreed_job(session, now)
    stage = add_stage(session, job, 60)
    session.add(
        StageUse(
            stage_id=stage.id,
            role=role,
            way=way,
            unit="ml",
            amount_thousandths=50_000,
            guess_cost_minor=guess_cost_minor,
        )
    )
    session.flush()
    session.expire_all()
    assert job_margin(session, job.id, TODAY).has_unpriced is is_lacking


def test_what_comes_after_hand_over_and_comebacks_is_said_apart(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    job = make_agreed_job(session, now)
    issue_invoice(act, job.id)
    job.handed_over_at, job.handed_over_on = now, date(2026, 11, 4)
    stage = add_stage(session, job, 60, finished_at=now)
    clock(session, owner, stage, date(2026, 11, 4), now, 60, 3100)
    clock(session, owner, stage, TODAY, now, 30, 1550)
    back = make_agreed_job(session, now, purpose="comeback", comeback_of_id=job.id)
    clock(session, owner, add_stage(session, back, 60), TODAY, now, 60, 3100)
    found = margins(session, [job.id, back.id], TODAY)
    assert (found[job.id].since_minor, found[job.id].comebacks_minor) == (1550, 3100)
    assert found[job.id].after_minor == found[job.id].margin.expected.margin_minor - 3100
    assert found[back.id].so_far.rework_minor == 3100
    assert found[back.id].so_far.labour_minor == 0


def test_a_part_that_came_after_the_car_had_gone_is_spent_since_then(session: Session, now: datetime, act: Act) -> None:
    job = make_agreed_job(session, now)
    job.handed_over_at, job.handed_over_on = now, date(2026, 11, 4)
    part_came(act, add_part(act, job.id, name="Clip", cost_minor=420).id)
    assert job_margin(session, job.id, TODAY).since_minor == 420


def test_the_number_of_statements_does_not_grow_with_the_jobs(session: Session, owner: Actor, now: datetime) -> None:
    jobs = [make_agreed_job(session, now) for _ in range(5)]
    for job in jobs:
        clock(session, owner, add_stage(session, job, 60), TODAY, now, 60, 3100)
    counts = []
    for ids in ([jobs[0].id], [job.id for job in jobs]):
        seen: list[str] = []

        def listen(*told: object, seen: list[str] = seen) -> None:
            seen.append(str(told[2]))

        event.listen(session.get_bind(), "before_cursor_execute", listen)
        margins(session, ids, TODAY)
        event.remove(session.get_bind(), "before_cursor_execute", listen)
        counts.append(len(seen))
    assert counts[0] == counts[1] > 0
