"""A wait belongs to its coat: no other stage shortens it, whatever is removed, moved or added."""

import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.floor.coat_waits import CoatWait, Layer, Touch, asked_of, touch_of, windows_of
from shopbook.trade.floor.readiness import StageRow, stages_ready
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.ordering import edges_behind, swap_edges
from shopbook.trade.planning.shapes import (
    Car,
    Conditions,
    DamageKind,
    DepthStep,
    DraftDamage,
    DraftPlan,
    Finish,
    PaintChoice,
    SizeStep,
    Substrate,
)

START = datetime(2026, 11, 5, 8, 0, tzinfo=UTC)
WORKS_ON_IT = {Touch.SAND, Touch.COAT}
PANELS = sorted(set(own_catalogue().panels) - {"left_mirror", "right_mirror"})
SEEDS = range(300)


@cache
def random_draft(seed: int) -> DraftPlan:
    """A plan for a car with one to four random damages on a random day."""
    pick = random.Random(seed)
    damages = [
        DraftDamage(
            number,
            pick.choice(PANELS),
            pick.choice([kind for kind in DamageKind if kind is not DamageKind.SMALL_DENTS]),
            pick.choice(list(SizeStep)),
            depth=pick.choice(list(DepthStep)),
            substrate=Substrate.STEEL,
            paint=pick.choice(list(PaintChoice)),
        )
        for number in range(1, pick.randint(2, 5))
    ]
    day = Conditions(pick.uniform(8, 32), pick.uniform(30, 80), has_lamp=pick.random() < 0.3)
    return draft_plan(own_catalogue(), Car(pick.choice(list(Finish))), damages, day)


def rows_of(draft: DraftPlan) -> list[StageRow]:
    """The stages of a draft as they stand in a plan, ids from 1, in order."""
    return [
        StageRow(place, each.name, tuple(key + 1 for key in each.after), each.code, each.panels, each.waits, "rework")
        for place, each in enumerate(draft.stages, 1)
    ]


def worked_through(rows: list[StageRow]) -> dict[int, datetime]:
    """When each stage is done where whatever can begin is done at once: as soon as anything ever could be."""
    now, done = START, {}
    while len(done) < sum(not row.is_struck for row in rows):
        rows = [replace(row, finished_at=done.get(row.id)) for row in rows]
        ready = stages_ready(rows, now, is_here=True)
        able = [key for key, each in ready.items() if each.can_begin]
        if able:
            done |= dict.fromkeys(able, now)
        else:
            now = min(each.ready_at for each in ready.values() if each.ready_at is not None)
    return done


def earliest(rows: list[StageRow]) -> dict[tuple[int, str, str], int]:
    """Minutes from each coat laid (stage, panel, coat) to the first sanding, polish or recoat of that panel."""
    done, found = worked_through(rows), {}
    for place, row in enumerate(rows):
        for wait in row.waits if row.id in done else ():
            later = [
                (done[other.id] - done[row.id]) // timedelta(minutes=1)
                for there, other in enumerate(rows)
                if other.id in done
                and (done[other.id] > done[row.id] or (done[other.id] == done[row.id] and there > place))
                if touch_of(other.code) in WORKS_ON_IT and other.layer.is_on(wait.panel)
            ]
            if later and not wait.is_inside:
                found[row.id, wait.panel, wait.coat] = min(later)
    return found


def edited(rows: list[StageRow], pick: random.Random) -> list[StageRow]:
    """The plan after up to six stages were removed, moved by some places, or added behind another."""
    rows = list(rows)
    for _ in range(pick.randint(1, 6)):
        how, place = pick.choice(["strike", "move", "add"]), pick.randrange(len(rows))
        if how == "strike":
            rows[place] = replace(rows[place], is_struck=True)
            continue
        edges = {row.id: set(row.after) for row in rows}
        if how == "add":
            added = StageRow(max(edges) + 1, "Added", code="by_hand", panels=rows[place].panels, purpose="rework")
            edges |= edges_behind(edges, added.id, rows[place].id)
            rows.insert(place + 1, added)
        else:
            for _ in range(pick.randint(1, 4)):
                if place == 0 or rows[place].waits:
                    break
                swap_edges(edges, rows[place].id, rows[place - 1].id)
                rows[place - 1], rows[place] = rows[place], rows[place - 1]
                place -= 1
        rows = [replace(row, after=tuple(sorted(edges[row.id]))) for row in rows]
    return rows


def own_minutes(rows: list[StageRow]) -> dict[tuple[int, str, str], int]:
    """What each coat itself asks of sanding, or of the next coat where it says nothing of sanding."""
    found: dict[tuple[int, str, str], int] = {}
    for row in rows:
        for wait in row.waits:
            if not wait.is_inside and wait.opens in WORKS_ON_IT:
                key = (row.id, wait.panel, wait.coat)
                found[key] = min(found.get(key, wait.not_before_minutes), wait.not_before_minutes)
    return found


@pytest.mark.parametrize("seeds", [SEEDS[first : first + 50] for first in range(0, 300, 50)], ids=str)
def test_no_edit_of_stages_shortens_the_time_from_a_coat_to_its_sanding_polish_or_recoat(seeds: range) -> None:
    """300 random plans, each edited four times over: struck, moved and added stages leave every coat its time."""
    for seed in seeds:
        pick, rows = random.Random(1000 + seed), rows_of(random_draft(seed))
        asked, before = own_minutes(rows), earliest(rows)
        assert all(before[key] >= asked.get(key, 0) for key in before)
        for _ in range(4):
            now = edited(rows, pick)
            after = earliest(now)
            assert own_minutes(now) == asked
            for key, minutes in after.items():
                assert minutes >= asked.get(key, 0)


@pytest.mark.parametrize("seed", SEEDS[::10])
def test_in_the_plan_as_drafted_a_coat_waits_for_nothing_but_itself(seed: int) -> None:
    """So "never shorter than its own minutes" is "never shorter than before"."""
    rows = rows_of(random_draft(seed))
    asked = own_minutes(rows)
    assert {key: asked.get(key, 0) for key in earliest(rows)} == earliest(rows)


def test_removing_unmask_leaves_the_polish_its_sixteen_hours_and_a_removed_coat_takes_only_its_own_along() -> None:
    clear = (
        CoatWait("door", "clear", Touch.HANDLE, not_before_minutes=45),
        CoatWait("door", "clear", Touch.SAND, not_before_minutes=960),
    )
    laid = Layer(1, "base_clear", ("door",), clear, finished_at=START)
    unmask = Layer(2, "unmask", ("door",), is_struck=True)
    polish = Layer(3, "polish", ("door",))
    (asked,) = asked_of(polish, [laid, unmask, polish])
    assert asked.ready_at == START + timedelta(hours=16)
    primer = Layer(4, "prime", ("door",), (CoatWait("door", "primer", Touch.SAND, not_before_minutes=180),))
    (left,) = asked_of(polish, [replace(laid, is_struck=True), primer, polish])
    assert left.wait.coat == "primer"


def test_a_stage_asks_the_coats_on_its_own_panels_alone() -> None:
    hood = Layer(1, "prime", ("bonnet",), (CoatWait("bonnet", "primer", Touch.SAND, not_before_minutes=180),))
    assert asked_of(Layer(2, "block", ("door",)), [hood, Layer(2, "block", ("door",))]) == []
    assert len(asked_of(Layer(3, "hand_over"), [hood, Layer(3, "hand_over")])) == 1


def test_only_material_thickness_temperature_and_heat_change_a_coat() -> None:
    """Surfacer: 180 min at 20 °C, 20 under a lamp, 900 in four coats, 2^0.8 times as long at 12 °C."""

    def minutes(**day: float) -> int:
        plan = draft_plan(own_catalogue(), Car(), [DraftDamage(1, "bonnet", DamageKind.DENT)], Conditions(**day))
        (prime,) = [stage for stage in plan.stages if stage.code == "prime"]
        (wait,) = [wait for wait in prime.waits if not wait.is_inside]
        return wait.not_before_minutes

    assert (minutes(), minutes(has_lamp=True), minutes(temperature_c=12)) == (180, 20, 314)


def test_a_window_is_over_once_the_coat_was_sanded_or_covered() -> None:
    seal = Layer(1, "seal", ("door",), (CoatWait("door", "primer", Touch.COAT, "flash", 20, 480, "scuff_primer"),))
    seal, base = replace(seal, finished_at=START), Layer(3, "base_clear", ("door",))
    assert len(windows_of(base, [seal, base])) == 1
    scuffed = Layer(2, "scuff_primer", ("door",), finished_at=START + timedelta(hours=9))
    assert windows_of(base, [seal, scuffed, base]) == []
