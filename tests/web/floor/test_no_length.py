"""A line of no length on a day sheet: a clock that was started and stopped within a minute, or has just begun."""

from datetime import date, timedelta

import pytest
from flask import Flask

from shopbook.models.floor import ClockEntry, ClockShare, RunningClock, RunningShare
from shopbook.models.session import transaction
from shopbook.queries.shop.people import find_person_named
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.floor import at, make_work

THURSDAY, SUNDAY = date(2026, 11, 5), date(2026, 11, 8)


def dana_after(app: Flask, day: date, *, runs: bool) -> ShopClient:
    """Dana's phone fifty seconds after ten, with a clock begun at ten that runs still or was stopped at once."""
    with app.app_context(), transaction(db.session()) as session:
        stage, person = make_work(session, "Clear the bonnet"), find_person_named(session, "Dana")
        assert person is not None
        begun = at("10:00", day) + timedelta(seconds=5)
        if runs:
            session.add(RunningClock(person_id=person.id, started_at=begun, what="stage"))
            session.flush()
            session.add(RunningShare(person_id=person.id, stage_id=stage.id))
        else:
            entry = ClockEntry(
                person_id=person.id, at=begun, on=day, started_at=begun, stopped_at=begun, minutes=0, what="stage",
            )  # fmt: skip
            session.add(entry)
            session.flush()
            session.add(
                ClockShare(
                    entry_id=entry.id, stage_id=stage.id, job_id=stage.job_id, minutes=0, cost_minor=0, is_agreed=True
                )
            )
    app.config["CLOCK"] = lambda: at("10:00", day) + timedelta(seconds=50)
    return ShopClient(app).signed_in_as("Dana")


@pytest.mark.parametrize("runs", [True, False])
@pytest.mark.parametrize("day", [THURSDAY, SUNDAY])
def test_a_line_of_no_length_is_shown_on_an_open_day_and_on_a_closed_one(app: Flask, day: date, runs: bool) -> None:
    answer = dana_after(app, day, runs=runs).get(f"/floor/day?on={day.isoformat()}")
    assert answer.status_code == 200
    assert "Clear the bonnet" in answer.text
    assert "0.0 h" in answer.text
