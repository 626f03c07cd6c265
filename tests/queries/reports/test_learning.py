"""Standards learn from touched figures only: what counts as one, what never does, and the press that takes them."""

from collections.abc import Sequence

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage
from shopbook.models.session import transaction
from shopbook.queries.floor.entries import list_entries
from shopbook.queries.reports.estimates import list_estimates_out
from shopbook.queries.reports.learning import list_touched_hours, taught_by_code
from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.act import Act
from shopbook.services.floor.clocks import close_overdue_clocks, start_clock
from shopbook.services.floor.day_sheet import correct_entry
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.reports.learning import take_taught_standard
from shopbook.services.shop.rates import set_standard
from shopbook.trade.catalogue.reading import entry_body
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.floor.hours import Interval
from shopbook.trade.floor.words import Why
from shopbook.trade.permissions import THE_PROGRAM, Actor
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.floor import THURSDAY, at, make_entry, make_open_job, make_painter, make_work

NIGHT = at("18:00")


def make_blocked(session: Session, standard: int = 60, **given: object) -> Stage:
    """One finished stage of blocking with a standard, and no hour on it yet."""
    stage = make_work(session, code="block", **given)
    stage.standard_minutes = standard
    stage.finished_at = at("16:00")
    session.flush()
    return stage


def clock(session: Session, painter: Actor, minutes: Sequence[int]) -> list[Stage]:
    """So many stages of blocking, each on a car of its own, clocked alone for so long."""
    stages = []
    for each in minutes:
        stages.append(make_blocked(session))
        make_entry(session, painter, stages[-1], "8:00", f"{8 + each // 60}:{each % 60:02d}")
    return stages


@pytest.fixture
def painter(session: Session) -> Actor:
    return make_painter(session)


def test_a_stage_done_as_planned_without_a_clock_never_counts(session: Session) -> None:
    for _ in range(8):
        make_blocked(session)
    assert list_touched_hours(session) == []
    assert taught_by_code(session, THURSDAY) == {}


def test_hours_that_one_clock_split_by_the_plan_never_count(session: Session, painter: Actor) -> None:
    first, second = make_blocked(session), make_blocked(session)
    interval = Interval(at("8:00"), at("10:00"))
    assert painter.person_id is not None
    write_entry(Act(session, painter, NIGHT), painter.person_id, interval, Doing(stage_ids=(first.id, second.id)))
    assert list_touched_hours(session) == []


def test_a_clock_that_ran_into_the_night_counts_only_once_somebody_put_it_right(
    session: Session, painter: Actor, owner: Actor
) -> None:
    stage = make_work(session, code="block", job=make_open_job(session))
    start_clock(Act(session, painter, at("14:00")), [stage.id])
    close_overdue_clocks(session, NIGHT)
    stage.standard_minutes, stage.finished_at = 60, NIGHT
    session.flush()
    assert list_touched_hours(session) == []
    (entry,) = list_entries(session, THURSDAY, THURSDAY)
    correct_entry(Act(session, owner, NIGHT), entry.id, interval=Interval(at("14:00"), at("15:10")), reason=Why.FORGOT)
    assert [one.minutes for one in list_touched_hours(session)] == [70]


def test_hours_typed_into_the_plan_count_where_nobody_clocked(session: Session) -> None:
    typed = make_blocked(session)
    typed.is_touched, typed.planned_minutes = True, 90
    session.flush()
    assert [(one.standard_minutes, one.minutes) for one in list_touched_hours(session)] == [(60, 90)]


def test_four_figures_teach_nothing_and_the_fifth_does(session: Session, painter: Actor) -> None:
    clock(session, painter, [66, 72, 72, 78])
    assert taught_by_code(session, THURSDAY) == {}
    clock(session, painter, [72])
    taught = taught_by_code(session, THURSDAY)["block"]
    assert (taught.cases, taught.median_minutes, taught.permille) == (5, 72, 1200)


def test_the_report_of_estimates_that_were_out_is_of_the_same_figures(session: Session, painter: Actor) -> None:
    clock(session, painter, [66, 72, 72, 78, 72])
    make_blocked(session)
    (row,) = list_estimates_out(session, THURSDAY, THURSDAY)
    assert (row.cases, row.off_permille) == (5, 200)
    # Yours 72 min, standard 60 min, on five jobs; the press makes it 1.2 times the standard.
    assert (row.code, row.standard_minutes, row.yours_minutes, row.jobs, row.permille) == ("block", 60, 72, 5, 1200)


def test_a_standard_of_three_figures_is_out_but_cannot_be_made_a_new_one_yet(session: Session, painter: Actor) -> None:
    clock(session, painter, [72, 72, 78])
    (row,) = list_estimates_out(session, THURSDAY, THURSDAY)
    assert (row.yours_minutes, row.permille) == (74, 0)


def test_a_standard_that_was_changed_is_out_no_more(session: Session, painter: Actor, owner: Actor) -> None:
    clock(session, painter, [66, 72, 72, 78, 72])
    take_taught_standard(Act(session, owner, NIGHT), "block", 1200)
    assert [row.code for row in list_estimates_out(session, THURSDAY, THURSDAY)] == []


def test_what_was_taken_holds_from_today_and_the_same_figures_never_teach_twice(
    session: Session, painter: Actor, owner: Actor
) -> None:
    clock(session, painter, [66, 72, 72, 78, 72])
    before = catalogue_on(session, THURSDAY).stages["block"]
    with pytest.raises(Conflict):
        take_taught_standard(Act(session, owner, NIGHT), "block", 1100)
    take_taught_standard(Act(session, owner, NIGHT), "block", 1200)
    after = catalogue_on(session, THURSDAY).stages["block"]
    assert (before.panel_minutes, after.panel_minutes) == (31, 37)
    assert after.grits == before.grits
    assert "5 figures" in after.source
    assert taught_by_code(session, THURSDAY) == {}
    with pytest.raises(RuleBroken, match="at least 5"):
        take_taught_standard(Act(session, owner, NIGHT), "block", 1200)


def test_a_change_that_leaves_the_hours_alone_forgets_no_figure(session: Session, painter: Actor) -> None:
    clock(session, painter, [72] * 5)
    block = catalogue_on(session, THURSDAY).stages["block"]
    body = entry_body(block) | {"own_cautions": ["Fan on first."]}
    set_standard(Act(session, THE_PROGRAM, NIGHT), "stage", "block", body, THURSDAY)
    assert taught_by_code(session, THURSDAY)["block"].cases == 5


def test_the_owner_sees_what_his_figures_say_and_takes_it_with_one_press(app: Flask, client: ShopClient) -> None:
    app.config["CLOCK"] = lambda: NIGHT
    with app.app_context(), transaction(db.session()) as session:
        clock(session, make_painter(session, "Iris"), [66, 72, 72, 78, 72])
    page = client.text("/settings/standards/stage")
    assert "usual 41 min" in page
    assert "<b>yours 49 min</b>, your last 5 · our guess" in page
    assert "Use 49 min" in page
    said = client.press_on("/settings/standards/stage/block/take", permille="1200")
    assert "In use from today, from your last 5" in said
    assert "your last 5 ·" not in said
    assert 'value="37"' in client.text("/settings/standards/stage/block")
    assert client.press("/settings/standards/stage/block/take", permille="1200").status_code == 303
    assert "at least 5 finished" in client.text("/settings/standards/stage")
