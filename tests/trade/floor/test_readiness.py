"""What each stage waits for."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.floor.coat_waits import CoatWait, Touch
from shopbook.trade.floor.readiness import AwaitedPart, Hold, StageRow, StageState, stages_ready

NOW = datetime(2026, 11, 5, 17, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


def row(key: int, *after: int, **given: object) -> StageRow:
    plain: dict[str, object] = {"id": key, "name": f"Stage {key}", "after": after, "is_agreed": True}
    return StageRow(**(plain | given))  # type: ignore[arg-type]


def wait(minutes: int) -> CoatWait:
    return CoatWait("", "primer", Touch.SAND, not_before_minutes=minutes)


def window(minutes: int, not_before: int = 0) -> CoatWait:
    return CoatWait("", "base", Touch.COAT, "flash", not_before, minutes, "scuff_base")


def test_a_stage_behind_nothing_can_be_worked() -> None:
    assert stages_ready([row(1)], NOW, is_here=True)[1].state is StageState.CAN_BEGIN


def test_nothing_can_be_worked_on_a_car_that_is_not_here() -> None:
    ready = stages_ready([row(1)], NOW, is_here=False)[1]
    assert (ready.state, ready.holds) == (StageState.HELD, (Hold.NOT_HERE,))
    assert "not here" in ready.sentence


def test_a_stage_waits_for_every_open_stage_before_it_and_says_which() -> None:
    ready = stages_ready([row(1), row(2), row(3, 1, 2)], NOW, is_here=True)[3]
    assert ready.holds == (Hold.PREDECESSOR,)
    assert ready.sentence == "after stage 1 and 1 more"


def test_a_struck_stage_is_passed_over_to_what_it_waited_for() -> None:
    rows = [row(1), row(2, 1, is_struck=True), row(3, 2)]
    assert stages_ready(rows, NOW, is_here=True)[3].before == ("Stage 1",)
    done = [row(1, finished_at=NOW - HOUR), *rows[1:]]
    assert stages_ready(done, NOW, is_here=True)[3].can_begin


def test_a_wait_runs_through_and_ends_to_the_minute() -> None:
    done = row(1, finished_at=NOW - HOUR, waits=(wait(61),))
    held = stages_ready([done, row(2, 1)], NOW, is_here=True)[2]
    assert held.holds == (Hold.WAIT,)
    assert held.ready_at == NOW + timedelta(minutes=1)
    assert stages_ready([done, row(2, 1)], NOW + timedelta(minutes=1), is_here=True)[2].can_begin


def test_a_closed_window_names_the_stage_that_comes_first() -> None:
    done = row(1, finished_at=NOW - 25 * HOUR, waits=(window(24 * 60, 15),))
    late = stages_ready([done, row(2, 1, code="base_clear")], NOW, is_here=True)[2]
    assert (late.is_past_window, late.can_begin, late.holds) == (True, False, (Hold.WINDOW,))
    assert late.adds_stage == "scuff_base"
    begun = row(2, 1, code="base_clear", begun_at=NOW - 2 * HOUR)
    assert not stages_ready([done, begun], NOW, is_here=True)[2].is_past_window


def test_whoever_sands_a_coat_is_not_bound_by_its_recoat_window_and_opens_it_for_the_next() -> None:
    rows = [
        row(1, finished_at=NOW - 25 * HOUR, waits=(window(24 * 60, 15),)),
        row(2, 1, code="scuff_base"),
        row(3, 2, code="base_clear"),
    ]
    assert stages_ready(rows, NOW, is_here=True)[2].can_begin
    rows[1] = row(2, 1, code="scuff_base", finished_at=NOW)
    assert stages_ready(rows, NOW, is_here=True)[3].can_begin


def test_advice_never_stands_beside_a_window_that_has_passed() -> None:
    """Clear polishes easiest within 48 hours: after that it can begin all the same, and nothing is too late."""
    cure = CoatWait("", "clear", Touch.SAND, not_before_minutes=960, not_after_minutes=2880)
    rows = [row(1, finished_at=NOW - 49 * HOUR, waits=(cure,)), row(2, 1, code="polish")]
    ready = stages_ready(rows, NOW, is_here=True)[2]
    assert (ready.can_begin, ready.is_past_window, ready.shuts_at) == (True, False, None)
    assert ready.easiest_until == NOW - HOUR


def test_a_part_that_has_not_come_holds_its_stage() -> None:
    held = stages_ready([row(1, part=AwaitedPart("lamp"))], NOW, is_here=True)[1]
    assert held.sentence == "waiting for lamp"
    assert stages_ready([row(1, part=AwaitedPart("lamp", has_come=True))], NOW, is_here=True)[1].can_begin


def test_a_missing_yes_holds_but_could_be_clocked() -> None:
    ready = stages_ready([row(1, is_agreed=False)], NOW, is_here=True)[1]
    assert ready.is_not_approved
    assert ready.could_be_clocked
    assert not ready.can_begin


def test_looking_and_rework_need_no_yes() -> None:
    for purpose in ("strip_and_look", "rework", "goodwill", "own_car"):
        assert stages_ready([row(1, is_agreed=False, purpose=purpose)], NOW, is_here=True)[1].can_begin


def test_a_stage_in_hand_is_begun_whatever_stands_before_it() -> None:
    assert stages_ready([row(1), row(2, 1, begun_at=NOW)], NOW, is_here=True)[2].state is StageState.BEGUN


@given(st.lists(st.tuples(st.sets(st.integers(0, 9)), st.booleans(), st.booleans()), max_size=10))
def test_finishing_more_never_takes_a_stage_out_of_reach(plan: list[tuple[set[int], bool, bool]]) -> None:
    rows = [
        row(key, *(each for each in after if each != key), is_struck=struck, finished_at=NOW - HOUR if done else None)
        for key, (after, struck, done) in enumerate(plan)
    ]
    before = stages_ready(rows, NOW, is_here=True)
    for each in rows:
        if each.is_struck or each.finished_at is not None:
            continue
        more = [
            row(r.id, *r.after, is_struck=r.is_struck, finished_at=NOW if r.id == each.id else r.finished_at)
            for r in rows
        ]
        after = stages_ready(more, NOW, is_here=True)
        assert all(after[key].can_begin for key in before if before[key].can_begin and key != each.id)


def test_a_window_is_open_until_its_last_minute() -> None:
    """A base of 24 hours ago with a window of 1,440 minutes may still be cleared; one of 1,439 has closed."""
    for minutes, is_past in ((1440, False), (1439, True)):
        done = row(1, finished_at=NOW - 24 * HOUR, waits=(window(minutes),))
        assert stages_ready([done, row(2, 1, code="base_clear")], NOW, is_here=True)[2].is_past_window is is_past


def test_a_stage_that_is_done_or_waits_for_more_than_a_yes_is_not_clocked() -> None:
    done = stages_ready([row(1, finished_at=NOW - HOUR)], NOW, is_here=True)[1]
    held = stages_ready([row(1, is_agreed=False, part=AwaitedPart("lamp"))], NOW, is_here=True)[1]
    assert (done.could_be_clocked, held.could_be_clocked) == (False, False)


def test_a_stage_without_a_wait_lets_the_next_begin_at_once() -> None:
    begun = StageRow(2, "Next", (1,), is_agreed=True)
    first = StageRow(1, "First", is_agreed=True, finished_at=NOW)
    assert stages_ready([first, begun], NOW, is_here=True)[2].can_begin
