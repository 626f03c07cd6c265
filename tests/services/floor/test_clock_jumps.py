"""A clock that runs while the machine's own clock, or the hour of the land, jumps: what ran is what passed."""

from datetime import UTC, date, datetime

import pytest
from sqlalchemy.orm import Session

from shopbook.queries.floor.clocks import find_running
from shopbook.queries.floor.entries import list_entries
from shopbook.queries.shop.book import get_book
from shopbook.services.act import Act
from shopbook.services.floor.clocks import pause_clock, start_clock
from tests.makers.floor import at, make_painter, make_work


@pytest.mark.parametrize(
    ("begins", "ends", "on", "minutes"),
    [
        # From half past midnight to half past two by the wall, with the hour from one to two lived through twice.
        (datetime(2026, 11, 1, 4, 30, tzinfo=UTC), datetime(2026, 11, 1, 7, 30, tzinfo=UTC), date(2026, 11, 1), 180),
        # From half past one to half past three by the wall, with the hour from two to three left out.
        (datetime(2027, 3, 14, 6, 30, tzinfo=UTC), datetime(2027, 3, 14, 7, 30, tzinfo=UTC), date(2027, 3, 14), 60),
    ],
)
def test_the_night_of_the_changed_hour_counts_what_passed(
    session: Session, begins: datetime, ends: datetime, on: date, minutes: int
) -> None:
    """The changes of 2026 and 2027 in New York by the time zone database (02:00 to 01:00, 02:00 to 03:00)."""
    get_book(session).zone = "America/New_York"
    dana, stage = make_painter(session), make_work(session)
    start_clock(Act(session, dana, begins), [stage.id])
    pause_clock(Act(session, dana, ends))
    assert [entry.minutes for entry in list_entries(session, on, on, dana.person_id)] == [minutes]


def test_a_machines_clock_put_back_an_hour_writes_no_time_below_nothing(session: Session) -> None:
    dana, stage = make_painter(session), make_work(session)
    start_clock(Act(session, dana, at("10:00")), [stage.id])
    assert pause_clock(Act(session, dana, at("9:00"))) is None
    assert find_running(session, dana.person_id or 0) is None
    start_clock(Act(session, dana, at("9:01")), [stage.id])
    entry = pause_clock(Act(session, dana, at("9:31")))
    assert entry is not None
    assert entry.minutes == 30


def test_a_clock_put_back_between_two_stages_goes_on_with_the_second(session: Session) -> None:
    dana, first, second = make_painter(session), make_work(session), make_work(session, "Nib, polish")
    start_clock(Act(session, dana, at("10:00")), [first.id])
    start_clock(Act(session, dana, at("9:30")), [second.id])
    running = find_running(session, dana.person_id or 0)
    assert running is not None
    assert [share.stage_id for share in running.shares] == [second.id]
    day = at("9:00").date()
    assert list_entries(session, day, day, dana.person_id) == []
