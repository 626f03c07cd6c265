"""Sessions on the spray bay by the clock: until when each takes it, and which of them overlap."""

from datetime import UTC, datetime

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.diary.sessions import SprayTime, in_the_way, overlapping, sessions_of
from tests.trade.diary.test_worked_promise import TUESDAY, at, promised


def session(number: int, begins: str, ends: str, free: str) -> SprayTime:
    return SprayTime(
        number, *(datetime.fromisoformat(f"2026-11-05T{each}").replace(tzinfo=UTC) for each in (begins, ends, free))
    )


def test_the_bay_is_taken_with_the_flashes_and_until_the_car_is_untaped() -> None:
    """1.0 h with 40 min of flashes from 8:00 is sprayed at 9:40, and its clear can be untaped at 10:25."""
    made, _ = promised()
    codes = {"clear": StageCode.BASE_CLEAR, "unmask": StageCode.UNMASK, "prime": StageCode.PRIME}
    assert list(sessions_of(62, made.stages, codes)) == [
        SprayTime(62, at(TUESDAY, "08:00"), at(TUESDAY, "09:40"), at(TUESDAY, "10:25"))
    ]


def test_a_plan_that_is_never_untaped_leaves_the_bay_when_it_is_sprayed() -> None:
    made, _ = promised()
    (only,) = sessions_of(62, made.stages, {"clear": StageCode.BASE_CLEAR})
    assert only.free_at == only.sprayed_at == at(TUESDAY, "09:40")


def test_two_sessions_on_one_bay_overlap_and_the_next_from_its_end_does_not() -> None:
    first = session(62, "08:00", "10:30", "11:15")
    during, after = session(67, "10:00", "11:40", "12:30"), session(67, "11:15", "12:30", "13:00")
    assert overlapping([first, during]) == {first, during}
    assert overlapping([first, after]) == frozenset()
    assert overlapping([first, during], bays=2) == frozenset()
    third = session(68, "10:30", "12:00", "12:45")
    assert overlapping([first, during, third], bays=2) == {first, during, third}


def test_a_car_that_only_stands_there_is_moved_out_and_the_sprayed_one_stays() -> None:
    assert in_the_way(session(62, "08:00", "10:30", "11:15"), [64, 62]) == (64,)
    assert in_the_way(session(62, "08:00", "10:30", "11:15"), [62]) == ()
