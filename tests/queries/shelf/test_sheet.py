"""The shelf as one looks at it: spoken for, free, short, lasting, coming; and what to order from whom."""

from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import Engine, event
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job, Stage, StageUse
from shopbook.models.shelf import Material
from shopbook.queries.shelf.movements import read_shelf, stock_value
from shopbook.queries.shelf.needing import jobs_served, sort_rows
from shopbook.queries.shelf.needs import list_spoken_for
from shopbook.queries.shelf.sheet import get_shelf_row, list_shelf, reorder_list
from shopbook.services.act import Act
from shopbook.services.postings import Source
from shopbook.services.shelf.counts import count_materials
from shopbook.services.shelf.orders import Wanted, draft_orders, send_order
from shopbook.services.shelf.stock import correct_price, draw_stock, open_pack, waste_stock
from shopbook.trade.permissions import Actor
from shopbook.trade.stock.reorder import ReorderState
from tests.asking import list_expiring
from tests.makers.jobs import make_job, make_stage
from tests.makers.shelf import make_delivery, make_material, make_supplier

TODAY = date(2026, 11, 5)


def plan_use(session: Session, now: datetime, material: Material | None, amount: int, **given: object) -> Stage:
    """An agreed stage of an agreed job that will take so much."""
    job = make_job(session)
    job.agreed_at = now
    stage = make_stage(session, job)
    stage.agreed_at = now
    for name, value in given.items():
        setattr(job, name, value)
    use = StageUse(
        stage_id=stage.id,
        role="clear",
        material_id=material.id if material else None,
        unit="ml",
        way="measured",
        amount_thousandths=amount,
    )
    session.add(use)
    session.flush()
    return stage


def spoken(session: Session) -> int:
    return sum(need.quantity_thousandths for need in list_spoken_for(session, TODAY))


def test_agreed_work_speaks_for_what_it_needs_by_material_or_by_role(session: Session, now: datetime) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 1)
    plan_use(session, now, clear, 300_000, drop_off_on=date(2026, 11, 9))
    plan_use(session, now, None, 200_000, came_at=now)
    row = get_shelf_row(session, TODAY, clear.id)
    assert [(need.quantity_thousandths, need.needed_on) for need in row.needs] == [
        (200_000, TODAY),
        (300_000, date(2026, 11, 9)),
    ]
    assert row.line is not None
    assert row.line.free_thousandths == 500_000


@pytest.mark.parametrize("moment", ["settled_at", "called_off_at", "handed_over_at"])
def test_a_job_that_is_over_speaks_for_nothing(session: Session, now: datetime, moment: str) -> None:
    plan_use(session, now, make_material(session), 300_000, **{moment: now})
    assert spoken(session) == 0


@pytest.mark.parametrize("moment", ["finished_at", "struck_at"])
def test_a_stage_that_is_over_speaks_for_nothing(session: Session, now: datetime, moment: str) -> None:
    setattr(plan_use(session, now, make_material(session), 300_000), moment, now)
    session.flush()
    assert spoken(session) == 0


def test_a_stage_without_a_yes_speaks_for_nothing(session: Session, now: datetime) -> None:
    plan_use(session, now, make_material(session), 300_000).agreed_at = None
    session.flush()
    assert spoken(session) == 0


def test_what_a_stage_has_drawn_is_no_longer_spoken_for(session: Session, now: datetime, act: Act) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 1)
    stage = plan_use(session, now, clear, 300_000)
    draw_stock(act, clear, 200_000, Source(job_id=stage.job_id, stage_id=stage.id))
    assert spoken(session) == 100_000
    draw_stock(act, clear, 200_000, Source(job_id=stage.job_id, stage_id=stage.id))
    assert spoken(session) == 0


def test_a_material_that_nobody_counted_has_no_figure_and_wants_a_count(session: Session, now: datetime) -> None:
    clear = make_material(session)
    plan_use(session, now, clear, 300_000)
    row = get_shelf_row(session, TODAY, clear.id)
    assert (row.pack_words, row.line, row.state, row.wants_count) == ("not counted", None, None, True)
    assert reorder_list(session, TODAY) == []


def test_the_short_come_before_the_low_and_the_low_before_the_rest(session: Session, now: datetime, act: Act) -> None:
    enough, low, short = (make_material(session, name, role=name) for name in ("Aa", "Bb", "Cc"))
    make_delivery(session, enough, 9)
    make_delivery(session, low, 1)
    make_delivery(session, short, 1)
    unseen = make_material(session, "Zz", role="zz")
    draw_stock(act, unseen, 1000, Source())
    plan_use(session, now, short, 1_200_000)
    assert [row.material.name for row in list_shelf(session, TODAY)] == ["Zz", "Cc", "Bb", "Aa"]


def test_what_to_order_stands_by_supplier_with_its_reason(session: Session, now: datetime) -> None:
    north = make_supplier(session)
    clear = make_material(session, supplier_id=north.id)
    loose = make_material(session, "Tape", role="tape", pack_price_minor=None)
    make_delivery(session, clear, 1)
    make_delivery(session, loose, 1, 0)
    groups = reorder_list(session, TODAY)
    assert [(group.supplier and group.supplier.name, group.total_minor, group.unpriced) for group in groups] == [
        (north.name, 4000, 0),
        (None, 0, 1),
    ]
    line = groups[0].rows[0].line
    assert line is not None
    assert line.why == "1,000 ml free. You order at 1 × 1 L."


def test_what_is_on_its_way_is_not_ordered_again(session: Session, act: Act) -> None:
    clear = make_material(session, supplier_id=make_supplier(session).id)
    make_delivery(session, clear, 1)
    [draft] = draft_orders(act, [Wanted(clear.id, 1)])
    assert get_shelf_row(session, TODAY, clear.id).drafted_packs == 1
    send_order(act, draft.id)
    row = get_shelf_row(session, TODAY, clear.id)
    assert row.drafted_packs == 0
    assert [(one.number, one.packs_quarters) for one in row.coming] == [(1, 4)]
    assert row.state is ReorderState.ENOUGH
    assert reorder_list(session, TODAY) == []


def test_how_long_it_lasts_is_read_from_the_shops_own_use(
    session: Session, owner: Actor, now: datetime, act: Act
) -> None:
    clear = make_material(session)
    make_delivery(session, clear, 10)
    draw_stock(Act(session, owner, now - timedelta(days=27)), clear, 1_400_000, Source())
    draw_stock(act, clear, 1_400_000, Source())
    row = get_shelf_row(session, TODAY, clear.id)
    # 2.8 L in 28 days is 100 ml a day; 7.2 L last 72 days, which are said in months.
    assert row.shelf.used_a_day_thousandths == 100_000
    assert row.line is not None
    assert row.line.lasts == "about 2 months"


def test_lots_that_end_are_listed_with_what_is_left(session: Session, act: Act) -> None:
    clear = make_material(session, opened_life_days=20)
    make_delivery(session, clear, 1, expires_on=date(2026, 11, 1), mark="past")
    make_delivery(session, clear, 1, expires_on=date(2028, 1, 1), mark="later")
    draw_stock(act, clear, 100_000, Source())
    found = [(one.left.lot.mark, one.is_past, one.left.good_till) for one in list_expiring(session, TODAY)]
    assert found == [("past", True, date(2026, 11, 1)), ("later", False, date(2026, 11, 25))]


def test_a_months_sums_close(session: Session, owner: Actor, now: datetime, act: Act) -> None:
    clear = make_material(session)
    tape = make_material(session, "Tape", way="shop_supplies", unit="piece", pack_thousandths=24_000, role="tape")
    count_materials(Act(session, owner, datetime(2026, 10, 1, 12, tzinfo=now.tzinfo)), [(clear.id, 1_000_000)])
    taken = make_delivery(session, clear, 2, 9000, now=now)
    make_delivery(session, tape, 1, 2400, now=now)
    stage = plan_use(session, now, clear, 300_000)
    draw_stock(act, clear, 500_000, Source(job_id=stage.job_id, stage_id=stage.id))
    open_pack(act, tape)
    waste_stock(act, clear, 100_000, cause="spilt")
    correct_price(act, taken.delivery.id, 9900)
    count_materials(act, [(clear.id, 2_000_000)])
    sums = read_shelf(session, date(2026, 11, 1), date(2026, 11, 30)).sums(date(2026, 11, 1), date(2026, 11, 30))
    assert sums.opening_minor == 4000
    assert sums.received_minor == 11_400
    assert sums.issued_to_supplies_minor == 2400
    # 3 L for 130.00: half a litre is 21.67.
    assert sums.issued_to_jobs_minor == 2167
    assert sums.closing_minor == stock_value(session)
    assert sums.gap_minor == 0


def test_the_statements_do_not_grow_with_the_shelf(session: Session, now: datetime) -> None:
    def statements() -> int:
        seen: list[str] = []

        def note(*told: object) -> None:
            seen.append(str(told[2]))

        session.expire_all()
        engine = session.get_bind()
        assert isinstance(engine, Engine)
        event.listen(engine, "before_cursor_execute", note)
        list_shelf(session, TODAY)
        event.remove(engine, "before_cursor_execute", note)
        return len([sql for sql in seen if sql.startswith("SELECT")])

    first = make_material(session)
    make_delivery(session, first, 1, expires_on=date(2027, 1, 1))
    plan_use(session, now, first, 1000)
    few = statements()
    for number in range(12):
        more = make_material(session, f"Material {number}", shelf_life_days=300)
        make_delivery(session, more, 1, expires_on=date(2027, 1, 1))
        plan_use(session, now, more, 1000)
    assert statements() == few


def test_a_use_of_the_plan_belongs_to_one_job(session: Session, now: datetime) -> None:
    clear = make_material(session)
    stage = plan_use(session, now, clear, 1000)
    job = session.get_one(Job, stage.job_id)
    assert [(need.job_id, need.job_number) for need in list_spoken_for(session, TODAY)] == [(job.id, job.number)]


def test_a_booked_job_finds_enough_is_short_or_waits_for_a_count(act: Act, session: Session, now: datetime) -> None:
    """300 ml of clear: the first job takes 200, the second misses 150 of 250; nobody counted the filler."""
    clear, filler = make_material(session), make_material(session, "Filler", unit="ml", role="filler")
    make_delivery(session, clear, 1)
    waste_stock(act, clear, 700_000, cause="spilled")
    jobs = [
        plan_use(session, now, material, amount, drop_off_on=day).job_id
        for material, amount, day in (
            (clear, 200_000, date(2026, 11, 6)),
            (clear, 250_000, date(2026, 11, 9)),
            (filler, 100_000, date(2026, 11, 6)),
        )
    ]
    found = jobs_served(list_shelf(session, TODAY))
    assert [job.job_id for job in found] == [jobs[1], jobs[2], jobs[0]], "the worst first"
    assert [much for _, much in found[0].short] == [150_000]
    assert [row.material.id for row in found[1].doubtful] == [filler.id]
    assert not found[2].short


def test_each_material_stands_in_one_list_of_the_page(session: Session, now: datetime) -> None:
    short, low, enough, unknown = (make_material(session, name) for name in ("Short", "Low", "Enough", "Unknown"))
    for material, packs in ((short, 1), (low, 1), (enough, 3)):
        make_delivery(session, material, packs)
    plan_use(session, now, short, 2_000_000)
    enough.shelf_place = "Rack A"
    found = sort_rows(list_shelf(session, TODAY))
    assert [row.material.name for row in found.to_order] == ["Short", "Low"]
    assert [(place, [row.material.name for row in rows]) for place, rows in found.racks] == [("Rack A", ["Enough"])]
    assert [row.material for row in found.uncounted] == [unknown]
    assert found.to_count == ()


def test_of_what_is_to_be_counted_those_that_may_be_short_stand_first(session: Session, now: datetime) -> None:
    """Two of which the book says less than nothing and that approved jobs need, and one that nobody counted."""
    below = [make_material(session, name) for name in ("Clips", "Film")]
    never = make_material(session, "Mesh", role="filler")
    for material in below:
        make_delivery(session, material, 1)
        material.on_hand_thousandths, material.value_minor, material.needs_count = -1000, 0, True
    for material in (never, *below):
        plan_use(session, now, material, 200_000)
    found = sort_rows(list_shelf(session, TODAY))
    assert [row.material.name for row in found.to_count[:2]] == ["Clips", "Film"]
    assert found.count_first == 2
