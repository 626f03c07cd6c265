"""Presses of the floor with the network cut before, during and after the server's work: kept, sent once, told."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from shopbook.models.floor import Attendance, ClockEntry, Mix, RunningClock, Trouble
from shopbook.models.jobs import Picture
from tests.journeys.bench_phone import CLEAR, DONE, MASK, START, Bench, bench, keeps, page, press_without_network, says
from tests.journeys.cutting import Cut

__all__ = ["bench", "page"]
pytestmark = pytest.mark.browser


@dataclass(frozen=True, slots=True)
class Tried:
    """One act of the table: its page, the press, what is told of it, and how often the book has it."""

    path: str
    press: Callable[[Page, Path], None]
    told: str
    times: Callable[[Bench], int]
    before: Callable[[Bench], None] = lambda bench: None


def press_start(page: Page, folder: Path) -> None:
    page.get_by_role("button", name=START).click()


def press_done_with_a_mix(page: Page, folder: Path) -> None:
    page.get_by_text("Not as planned?").click()
    page.get_by_label("Clear medium mixed").fill("450")
    page.get_by_role("button", name="Done").click()


def press_pause(page: Page, folder: Path) -> None:
    page.get_by_role("button", name="Pause", exact=True).click()


def press_trouble(page: Page, folder: Path) -> None:
    page.locator("summary", has_text="Another cause").click()
    page.get_by_label("Or in your own words").fill("hung on a door")
    page.get_by_role("button", name="Save").click()


def press_day_sheet(page: Page, folder: Path) -> None:
    page.get_by_label("Came in").fill("08:30")
    page.get_by_role("button", name="Save").click()


def press_photo(page: Page, folder: Path) -> None:
    shot = folder / "door.jpg"
    Image.new("RGB", (400, 300), "#2f5f9b").save(shot, "JPEG")
    page.locator("summary", has_text="Add photos").click()
    page.locator("[data-photos] input[type=file]").last.set_input_files(str(shot))
    page.get_by_role("button", name="Save photos").click()


def clock_runs(bench: Bench) -> None:
    bench.clock.on(-22)
    bench.begins("Dana", CLEAR)
    bench.clock.on(22)


ACTS = {
    "start": Tried("/floor/", press_start, "Clock running.", lambda bench: len(bench.rows(RunningClock))),
    "done with a mix": Tried(
        f"/floor/stages/{CLEAR}",
        press_done_with_a_mix,
        "Done: Clear the bonnet.",
        lambda bench: len([mix for mix in bench.rows(Mix) if mix.total_thousandths == 450_000]),
    ),
    "pause": Tried(
        f"/floor/stages/{CLEAR}", press_pause, "Paused.", lambda bench: len(bench.rows(ClockEntry)), clock_runs
    ),
    "trouble": Tried(
        f"/floor/stages/{CLEAR}/trouble/run/clear",
        press_trouble,
        "Saved. Added to the plan:",
        lambda bench: len(bench.rows(Trouble)),
    ),
    "day sheet": Tried("/floor/day", press_day_sheet, "Saved.", lambda bench: len(bench.rows(Attendance))),
    "photo": Tried("/jobs/2", press_photo, "Saved the photo.", lambda bench: len(bench.rows(Picture))),
}


@pytest.mark.parametrize("cut", list(Cut))
@pytest.mark.parametrize("act", list(ACTS))
def test_a_press_that_is_cut_off_is_kept_sent_once_and_told(
    bench: Bench, page: Page, tmp_path: Path, act: str, cut: Cut
) -> None:
    tried = ACTS[act]
    tried.before(bench)
    bench.go(page, tried.path)
    page.wait_for_load_state("load")
    bench.network.cut(cut)
    tried.press(page, tmp_path)
    keeps(page, "No network. What you press is kept on this phone")
    if cut is not Cut.BEFORE:
        bench.network.wait_for_server()
    bench.wait(page, 39)
    assert tried.times(bench) == (0 if cut is Cut.BEFORE else 1)
    bench.network.mend()
    says(page, tried.told)
    assert tried.times(bench) == 1
    expect(page.locator("#kept")).to_have_count(0)
    late = bench.late()
    assert len(late) == (1 if cut is Cut.BEFORE else 0)
    assert all(line.startswith("Pressed 9:02 am, arrived 9:41 am: ") for line in late)


def test_a_reload_without_network_loses_the_page_and_not_the_press(bench: Bench, page: Page) -> None:
    press_without_network(bench, page)
    with pytest.raises(Exception, match="net::ERR"):
        page.reload()
    # The browser's own page comes in place of ours, and only then can another be opened.
    page.wait_for_url("chrome-error://**")
    bench.clock.on(39)
    bench.network.mend()
    bench.go(page, "/floor/day")
    keeps(page, START, "Clock running.")
    assert len(bench.rows(RunningClock)) == 1
    bench.go(page, "/floor/")
    expect(page.locator("#kept")).to_have_count(0)
    says(page, "Running")


def test_back_after_a_sent_press_starts_nothing_twice(bench: Bench, page: Page) -> None:
    press_without_network(bench, page)
    bench.network.mend()
    says(page, "Clock running.")
    page.go_back()
    expect(page.get_by_role("heading", name="Work to do")).to_be_visible()
    bench.go(page, f"/floor/stages/{MASK}")
    says(page, "Pause")
    assert len(bench.rows(RunningClock)) == 1


def test_two_presses_on_the_open_page_arrive_in_their_order_at_their_own_times(bench: Bench, page: Page) -> None:
    """Start at 9:02, done at 9:22, the network back at 9:41: twenty minutes on the clock."""
    bench.go(page, f"/floor/stages/{MASK}")
    page.wait_for_load_state("load")
    bench.network.cut(Cut.BEFORE)
    page.get_by_role("button", name="Start", exact=True).click()
    keeps(page, START)
    bench.wait(page, 20)
    page.get_by_role("button", name="Done, all as planned").click()
    keeps(page, "Done: 1 Degrease, mask, tack")
    bench.wait(page, 19)
    bench.network.mend()
    says(page, "Done: Degrease, mask, tack.")
    (entry,) = bench.rows(ClockEntry)
    assert 19 <= entry.minutes <= 21
    assert [line.split(":")[-1] for line in bench.late()] == [
        " Start, 1 Degrease, mask, tack",
        " Done, 1 Degrease, mask, tack",
    ]


def test_a_double_press_in_two_tabs_is_sent_once_each_and_both_go_on(bench: Bench, page: Page) -> None:
    bench.go(page, "/floor/")
    other = page.context.new_page()
    bench.go(other, f"/floor/stages/{CLEAR}")
    bench.network.cut(Cut.BEFORE)
    start = page.get_by_role("button", name=START)
    start.click()
    keeps(page, START)
    start.click(force=True)
    other.get_by_role("button", name="Done", exact=False).click()
    keeps(other, DONE, START)
    bench.network.mend()
    says(page, "Degrease, mask, tack")
    says(other, "Clear the bonnet")
    # Which tab sent them is chance; the other is told. What still waits stands late.
    expect(page.locator("#kept .edge-late")).to_have_count(0)
    expect(other.locator("#kept .edge-late")).to_have_count(0)
    assert len(bench.rows(RunningClock)) == 1
    assert bench.stage(CLEAR).finished_at is not None
    assert len(bench.rows(Mix)) == 1
