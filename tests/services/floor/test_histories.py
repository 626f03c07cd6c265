"""Random days on the floor: whatever people press, one clock runs for each, shares sum, and reversals bring zero."""

import random
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry, ClockShare, RunningClock
from shopbook.models.jobs import Stage
from shopbook.models.session import make_engine, transaction
from shopbook.queries.floor.day import get_day_sheet
from shopbook.queries.floor.entries import list_entries
from shopbook.queries.shop.days import day_of
from shopbook.services.act import Act
from shopbook.services.floor.attendance import go_home
from shopbook.services.floor.clocks import close_overdue_clocks, pause_clock, start_clock, start_other
from shopbook.services.floor.day_sheet import correct_entry, rest_not_on_car, take_all_guesses, take_entry_back
from shopbook.services.floor.entries import Doing
from shopbook.services.floor.finishing import finish_stages
from shopbook.services.jobs.doing import reopen_stage
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.hours import labour_cost
from shopbook.trade.floor.words import ClockWhat, Why
from shopbook.trade.permissions import Actor
from tests.makers import make_book
from tests.makers.floor import at, make_open_job, make_painter, make_use, make_work

ACTS = 22


class Shop:
    """A few people and stages, and a clock that only goes on."""

    def __init__(self, session: Session, dice: random.Random, name: str) -> None:
        self.session, self.dice = session, dice
        self.people = [make_painter(session, f"{one} {name}", cost=dice.randint(0, 9000)) for one in ("Dana", "Sam")]
        jobs = [make_open_job(session) for _ in range(2)]
        self.stages = [
            make_work(session, f"Stage {n}", minutes=dice.choice((0, 7, 25, 60)), job=dice.choice(jobs))
            for n in range(5)
        ]
        make_use(session, self.stages[0], "clear", 100)
        self.moment = at("7:55")

    def act(self) -> str:
        """One press of somebody, a while after the last; what a rule refuses is refused and nothing more."""
        self.moment += timedelta(minutes=self.dice.choice((0, 1, 3, 17, 44, 130)), seconds=self.dice.randint(0, 59))
        press = self.dice.choice(PRESSES)
        who = self.dice.choice(self.people)
        with self.session.begin_nested() as saved:
            try:
                press(self, who)
            except RuleBroken:
                saved.rollback()
                return "refused"
        return press.__name__

    def some_stages(self) -> list[int]:
        return [stage.id for stage in self.dice.sample(self.stages, self.dice.randint(1, 3))]

    def an_entry(self, who: Actor) -> ClockEntry | None:
        today = day_of(self.session, self.moment)
        entries = list_entries(self.session, today - timedelta(days=3), today, who.person_id)
        return self.dice.choice(entries) if entries else None


def start(shop: Shop, who: Actor) -> None:
    start_clock(Act(shop.session, who, shop.moment), shop.some_stages())


def pause(shop: Shop, who: Actor) -> None:
    pause_clock(Act(shop.session, who, shop.moment))


def other(shop: Shop, who: Actor) -> None:
    start_other(Act(shop.session, who, shop.moment), shop.dice.choice(("cleaning", "phone")))


def finish(shop: Shop, who: Actor) -> None:
    finish_stages(Act(shop.session, who, shop.moment), shop.some_stages()[:2])


def reopen(shop: Shop, who: Actor) -> None:
    reopen_stage(Act(shop.session, who, shop.moment), shop.some_stages()[0])


def look(shop: Shop, who: Actor) -> None:
    close_overdue_clocks(shop.session, shop.moment)


def home(shop: Shop, who: Actor) -> None:
    go_home(Act(shop.session, who, shop.moment))


def put_right(shop: Shop, who: Actor) -> None:
    entry = shop.an_entry(who)
    if entry is not None:
        doing = shop.dice.choice((Doing(ClockWhat.CLEANING), Doing(stage_ids=tuple(shop.some_stages()))))
        correct_entry(Act(shop.session, who, shop.moment), entry.id, doing=doing, reason=Why.FORGOT)


def take_back(shop: Shop, who: Actor) -> None:
    entry = shop.an_entry(who)
    if entry is not None:
        take_entry_back(Act(shop.session, who, shop.moment), entry.id, Why.WRONG_TIME)


def place_holes(shop: Shop, who: Actor) -> None:
    day = day_of(shop.session, shop.moment)
    place = shop.dice.choice((take_all_guesses, rest_not_on_car))
    place(Act(shop.session, who, shop.moment), who.person_id or 0, day)


PRESSES: Sequence[Callable[[Shop, Actor], None]] = (
    start, start, start, pause, other, finish, finish, reopen, look, home, put_right, take_back, place_holes,
)  # fmt: skip


def prove(session: Session, shop: Shop) -> None:
    """What must hold of the ledger whatever was pressed."""
    people = [who.person_id for who in shop.people]
    running = session.execute(select(RunningClock.person_id, func.count()).group_by(RunningClock.person_id)).all()
    assert all(count == 1 for _, count in running)
    entries = {e.id: e for e in session.scalars(select(ClockEntry).where(ClockEntry.person_id.in_(people)))}
    shares: dict[int, list[ClockShare]] = {}
    for share in session.scalars(select(ClockShare).where(ClockShare.entry_id.in_(entries))):
        shares.setdefault(share.entry_id, []).append(share)
    for entry in entries.values():
        own = shares.get(entry.id, [])
        assert (entry.what == "stage") == bool(own)
        if own:
            assert sum(share.minutes for share in own) == entry.minutes
        if entry.reverses_id is not None:
            first = entries[entry.reverses_id]
            assert (entry.minutes, entry.on) == (-first.minutes, first.on)
            sums = Counter[int]()
            for share in [*own, *shares.get(first.id, [])]:
                sums[share.stage_id] += share.minutes + 10**6 * share.cost_minor
            assert not any(sums.values())
    for who in shop.people:
        _prove_day(session, shop, who)


def _prove_day(session: Session, shop: Shop, who: Actor) -> None:
    """Nobody's ledger lines that count overlap, and the day's sums are those of its lines."""
    day = day_of(session, shop.moment)
    counted = list_entries(session, day, day, who.person_id)
    for earlier, later in pairwise(counted):
        assert earlier.stopped_at <= later.started_at
    sheet = get_day_sheet(session, who.person_id or 0, day, shop.moment)
    placed = sheet.sums.on_cars_minutes + sheet.sums.elsewhere_minutes
    assert sheet.sums.here_minutes == placed + sheet.sums.to_place_minutes - sheet.sums.outside_minutes
    assert sheet.sums.overlap_minutes == 0


def play(session: Session, seed: int) -> Counter[str]:
    """One history; answers how often each press was pressed."""
    shop = Shop(session, random.Random(seed), str(seed))
    done = Counter(shop.act() for _ in range(ACTS))
    prove(session, shop)
    close_overdue_clocks(session, shop.moment + timedelta(days=2))
    return done


def test_a_hundred_days_on_sqlite(session: Session) -> None:
    done = Counter[str]()
    for seed in range(100):
        done += play(session, seed)
    # The dice reach every press, so that the claim is about all of them.
    assert {press.__name__ for press in PRESSES} <= set(done)


@pytest.mark.postgresql
def test_twenty_days_on_postgresql(postgres_url: str) -> None:
    engine = make_engine(postgres_url)
    with Session(engine) as opened, transaction(opened):
        make_book(opened)
        for seed in range(20):
            play(opened, seed)
    engine.dispose()


@pytest.mark.parametrize("cost", [0, 1, 3100, 9999])
def test_the_cost_of_an_entry_is_its_minutes_at_the_cost_of_the_day(session: Session, cost: int) -> None:
    who = make_painter(session, cost=cost)
    stages = [make_work(session, minutes=minutes) for minutes in (7, 60, 25)]
    start_clock(Act(session, who, at("9:00")), [stage.id for stage in stages])
    pause_clock(Act(session, who, at("10:41")))
    spent = session.scalar(select(func.sum(ClockShare.cost_minor)))
    assert spent == labour_cost(101, cost)
    assert session.get_one(Stage, stages[0].id).begun_at == datetime.fromisoformat("2026-11-05T14:00:00+00:00")
