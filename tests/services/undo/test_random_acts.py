"""Random acts of every area: an act and its Undo leave every row as before, and the ledgers with the same sums."""

import random
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from functools import partial
from typing import Any

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models import Base
from shopbook.models.diary import Absence
from shopbook.models.floor import ClockShare
from shopbook.models.jobs import Damage, JobPart, Stage
from shopbook.models.session import make_engine, transaction
from shopbook.models.shelf import Material, Movement
from shopbook.queries.floor.clocks import find_attendance
from shopbook.queries.floor.mixes import list_mixes
from shopbook.queries.jobs.plans import list_stages
from shopbook.queries.reports.proofs import list_proofs
from shopbook.queries.shop.rates import labour_rates_on, settings_on
from shopbook.services.act import Act
from shopbook.services.customers import add_customer, change_customer
from shopbook.services.diary import add_absence, remove_absence
from shopbook.services.floor.attendance import go_home
from shopbook.services.floor.clocks import pause_clock, start_clock, start_other
from shopbook.services.floor.finishing import finish_stages
from shopbook.services.jobs.damage import add_damage, add_reading, change_damage, strike_damage
from shopbook.services.jobs.doing import reopen_stage
from shopbook.services.jobs.drafting import follow_damage
from shopbook.services.jobs.leaving import mark_ready, take_ready_back, tell_ready
from shopbook.services.jobs.order import move_stage
from shopbook.services.jobs.parts import add_part, change_part, order_part, part_came, send_part_back, strike_part
from shopbook.services.jobs.plans import add_stage, change_stage, restore_stage, strike_stage
from shopbook.services.postings import Source
from shopbook.services.shelf.counts import count_materials
from shopbook.services.shelf.materials import retire_material
from shopbook.services.shelf.stock import draw_stock, waste_stock
from shopbook.services.shop.rates import set_labour_rates, set_settings
from shopbook.services.undo.places import MUTABLE
from shopbook.trade.errors import Conflict, NotFound, RuleBroken
from shopbook.trade.permissions import Role
from shopbook.trade.settings import SettingName
from tests.makers import make_book, make_person
from tests.makers.floor import THURSDAY, at
from tests.makers.jobs import make_planned_job
from tests.makers.shelf import make_delivery, make_material
from tests.services.undo.pressing import press, take_back


class Shop:
    """One approved job, a shelf and a person who may do everything; the clock only goes on."""

    def __init__(self, session: Session, dice: random.Random, name: str) -> None:
        self.session, self.dice, self.moment = session, dice, at("8:00")
        self.who = make_person(session, f"Noor {name}", Role.OWNER, Role.DESK, Role.TECHNICIAN, cost=3100)
        self.job = make_planned_job(session, "right_front_door", is_agreed=True)
        self.materials = [make_material(session, f"{role} {name}", role=role) for role in ("clear", "hardener")]
        for material in self.materials:
            make_delivery(session, material, 2, dice.randint(1, 9999), expires_on=date(2027, 1, 31), mark="B1")
        self.empty = make_material(session, f"Old clear {name}", role="")
        act = Act(session, self.who, self.moment)
        add_part(act, self.job.id, name="Headlight", kind="part", cost_minor=900)
        add_absence(act, person_id=self.who.person_id or 0, first=THURSDAY + timedelta(days=1))
        finish_stages(act, [list_stages(session, self.job.id)[0].id])
        if dice.random() < 0.5:
            mark_ready(act, self.job.id, with_open_stages=True)
        self.customer = add_customer(Act(session, self.who, self.moment), name=f"Mia {name}", phone="555 0100")

    def pick(self, model: type[Any], *where: Any) -> Any:
        """One row of a table that is this shop's, or a refusal where there is none."""
        found = list(self.session.scalars(select(model).where(*where)))
        if not found:
            raise RuleBroken("There is none.")
        return self.dice.choice(found)

    def done_stage(self) -> Stage:
        return self.pick(Stage, Stage.job_id == self.job.id, Stage.finished_at.is_not(None))

    def stage(self) -> Stage:
        return self.dice.choice(list_stages(self.session, self.job.id, with_struck=True))

    def part(self) -> JobPart:
        return self.pick(JobPart, JobPart.job_id == self.job.id)

    def damage(self) -> Damage:
        return self.pick(Damage, Damage.job_id == self.job.id, Damage.struck_at.is_(None))

    def material(self) -> Material:
        return self.dice.choice(self.materials)


Deed = Callable[[Shop, Act], object]


def _draw(shop: Shop, act: Act) -> object:
    stage = shop.stage()
    source = Source(job_id=stage.job_id, stage_id=stage.id)
    return draw_stock(act, shop.material(), shop.dice.randint(1, 900_000), source)


def _count(shop: Shop, act: Act) -> object:
    return count_materials(act, [(shop.material().id, shop.dice.choice([0, shop.dice.randint(0, 3_000_000)]))])


def _follow(shop: Shop, act: Act) -> object:
    add_damage(act, shop.job.id, panel=shop.dice.choice(("right_rear_door", "bonnet")))
    return follow_damage(act, shop.job.id)


DEEDS: Sequence[tuple[str, Deed]] = (
    ("strike stage", lambda shop, act: strike_stage(act, shop.stage().id)),
    ("restore stage", lambda shop, act: restore_stage(act, shop.stage().id)),
    ("add stage", lambda shop, act: add_stage(act, shop.job.id, name="Look", skill="paint", minutes=30,
                                              after_stage_id=shop.stage().id)),
    ("move stage", lambda shop, act: move_stage(act, shop.stage().id, shop.dice.choice((-2, -1, 1, 3)))),
    ("change stage", lambda shop, act: change_stage(act, shop.stage().id, planned_minutes=shop.dice.randint(0, 300),
                                                    why="seen")),
    ("add damage, plan follows", _follow),
    ("change damage", lambda shop, act: change_damage(act, shop.damage().id, note="deeper", dent_count=3)),
    ("strike damage", lambda shop, act: strike_damage(act, shop.damage().id)),
    ("reading", lambda shop, act: add_reading(act, shop.job.id, panel="bonnet", spot="left", value=120)),
    ("add part", lambda shop, act: add_part(act, shop.job.id, name="Handle", kind="part", cost_minor=1200)),
    ("change part", lambda shop, act: change_part(act, shop.part().id, cost_minor=shop.dice.randint(0, 9000))),
    ("order part", lambda shop, act: order_part(act, shop.part().id, date(2026, 11, 9))),
    ("part came", lambda shop, act: part_came(act, shop.part().id, 1500)),
    ("send back", lambda shop, act: send_part_back(act, shop.part().id)),
    ("strike part", lambda shop, act: strike_part(act, shop.part().id)),
    ("ready", lambda shop, act: mark_ready(act, shop.job.id, with_open_stages=True)),
    ("not ready", lambda shop, act: take_ready_back(act, shop.job.id)),
    ("told", lambda shop, act: tell_ready(act, shop.job.id)),
    ("start", lambda shop, act: start_clock(act, [shop.stage().id])),
    ("start", lambda shop, act: start_clock(act, [shop.stage().id])),
    ("other", lambda shop, act: start_other(act, "cleaning")),
    ("pause", lambda shop, act: pause_clock(act)),
    ("home", lambda shop, act: go_home(act)),
    ("finish", lambda shop, act: finish_stages(act, [shop.stage().id])),
    ("finish", lambda shop, act: finish_stages(act, [shop.stage().id])),
    ("reopen", lambda shop, act: reopen_stage(act, shop.done_stage().id)),
    ("draw", _draw),
    ("waste", lambda shop, act: waste_stock(act, shop.material(), shop.dice.randint(1, 400_000), cause="spilled")),
    ("count", _count),
    ("retire", lambda shop, act: retire_material(act, shop.empty.id)),
    ("away", lambda shop, act: add_absence(act, person_id=act.actor.person_id or 0,
                                           first=THURSDAY + timedelta(days=shop.dice.randint(1, 9)))),
    ("not away", lambda shop, act: remove_absence(act, shop.pick(Absence).id)),
    ("add customer", lambda shop, act: add_customer(act, name="Jo Ash", phone="555 0111")),
    ("change customer", lambda shop, act: change_customer(act, shop.customer.id, revision=shop.customer.revision,
                                                          name=f"Mia {shop.dice.randint(1, 99)}")),
    ("settings", lambda shop, act: set_settings(act, {SettingName.STRICT_APPROVAL: shop.dice.choice((True, False))},
                                                act.day)),
    ("labour", lambda shop, act: set_labour_rates(act, {("paint", "any"): shop.dice.randint(1, 9000)}, act.day)),
)  # fmt: skip


def rows_in_force(session: Session) -> dict[str, Counter[str]]:
    """Every mutable row but those that stand as removed, and what hangs on these; the columns left alone aside."""
    session.flush()
    struck = set(session.scalars(select(Stage.id).where(Stage.struck_at.is_not(None), Stage.struck_why == "")))
    found = {}
    for place, left_alone in MUTABLE.items():
        rows = session.connection().execute(select(Base.metadata.tables[place])).mappings()
        found[place] = Counter(
            repr({name: value for name, value in row.items() if name not in left_alone | {"revision"}})
            for row in rows
            if row.get("stage_id") not in struck and not _is_taken_away(place, row)
        )
    return found


def _is_taken_away(place: str, row: Any) -> bool:
    return row.get("struck_at") is not None and (place != "stage" or row["struck_why"] == "")


def sums(session: Session, shop: Shop) -> dict[str, Any]:
    """What the ledgers come to."""
    stock = session.execute(
        select(Movement.material_id, Movement.stage_id, Movement.lot_id, func.sum(Movement.quantity_thousandths),
               func.sum(Movement.value_minor)).group_by(Movement.material_id, Movement.stage_id, Movement.lot_id)
    )  # fmt: skip
    hours = session.execute(
        select(ClockShare.stage_id, func.sum(ClockShare.minutes), func.sum(ClockShare.cost_minor)).group_by(
            ClockShare.stage_id
        )
    )
    here = find_attendance(session, shop.who.person_id or 0, THURSDAY)
    shelf = session.execute(select(Material.id, Material.on_hand_thousandths, Material.value_minor))
    rates = {key: rate for key, rate in labour_rates_on(session, THURSDAY).items()}
    return {
        "stock": {tuple(line[:3]): (int(line[3]), int(line[4])) for line in stock if line[3] or line[4]},
        "shelf": {tuple(line) for line in shelf},
        "hours": {line[0]: (int(line[1]), int(line[2])) for line in hours if line[1] or line[2]},
        "here": (here.came_at, here.went_at) if here else (None, None),
        "mixes": [(mix.id, mix.shares) for mix in list_mixes(session)],
        "settings": settings_on(session, THURSDAY),
        "rates": rates,
    }


def play(session: Session, seed: int) -> Counter[str]:
    """One history: every act in some order, each often undone and compared; answers which were undone."""
    shop, undone = Shop(session, random.Random(seed), str(seed)), Counter[str]()
    for name, deed in shop.dice.sample(DEEDS, len(DEEDS)):
        shop.moment += timedelta(minutes=shop.dice.choice((1, 3, 17)))
        before = rows_in_force(session), sums(session, shop)
        key = _press(shop, deed)
        if key is None or shop.dice.random() < 0.2:
            continue
        undone[name] += _take_back(shop, key)
        for place, rows in rows_in_force(session).items():
            assert rows == before[0][place], (seed, name, place)
        assert sums(session, shop) == before[1], (seed, name)
    faults = [fault for proof in list_proofs(session) for fault in proof.faults]
    assert faults == [], seed
    return undone


def _press(shop: Shop, deed: Deed) -> str | None:
    """The act's key; None, and nothing done, where a rule refuses it."""
    with shop.session.begin_nested() as saved:
        try:
            return press(Act(shop.session, shop.who, shop.moment), partial(deed, shop))
        except (RuleBroken, Conflict):
            saved.rollback()
    return None


def _take_back(shop: Shop, key: str) -> int:
    """One for an act that was undone; zero for one that had changed nothing. No Undo may be refused here."""
    with shop.session.begin_nested() as saved:
        try:
            take_back(Act(shop.session, shop.who, shop.moment + timedelta(minutes=1)), key)
        except NotFound:
            saved.rollback()
            return 0
    return 1


def test_six_histories_on_sqlite(session: Session) -> None:
    """Each act of the list is undone at least once, so that the claim is about all of them."""
    undone = Counter[str]()
    for seed in range(6):
        with session.begin_nested() as saved:
            undone += play(session, seed)
            saved.rollback()
    assert {name for name, _ in DEEDS} == set(undone)


@pytest.mark.postgresql
def test_three_histories_on_postgresql(postgres_url: str) -> None:
    """The same where ids come from a sequence and another database checks the keys."""
    engine = make_engine(postgres_url)
    with Session(engine) as opened, transaction(opened):
        make_book(opened)
        for seed in range(3):
            play(opened, seed)
    engine.dispose()
