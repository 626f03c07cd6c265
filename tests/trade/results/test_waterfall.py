"""A job from what was planned to what was made, step by step and to the minor unit."""

from hypothesis import given
from hypothesis import strategies as st

from shopbook.trade.results.approved_work import ApprovedPiece, WorkKind, planned_labour
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.waterfall import MaterialDrawn, StageWorked, StepCode, Waterfall, waterfall
from tests.makers.worked_job import BODY, DRAWN, PAINT, PLANNED, SPENT, WORKED


def steps_of(found: Waterfall) -> dict[str, int]:
    return {step.code.value: step.minor for step in found.steps}


def test_the_worked_example_goes_from_793_00_to_446_70() -> None:
    found = waterfall(140000, 130250, PLANNED, WORKED, DRAWN, SPENT)
    assert found.planned.margin_minor == 79300
    assert [(step.code, step.minor) for step in found.steps] == [
        (StepCode.HOURS, -11900),
        (StepCode.PRICE, -9750),
        (StepCode.REWORK, -6900),
        (StepCode.WHO, -2820),
        (StepCode.BOUGHT, -1600),
        (StepCode.MATERIAL_USE, -1020),
        (StepCode.MATERIAL_PRICE, -350),
        (StepCode.SUPPLIES, -290),
    ]
    assert found.made.margin_minor == 44670
    assert found.difference_minor == 44670 - 79300
    assert found.extra_minutes == {"body": 210, "paint": 12}


def test_a_job_that_went_as_planned_has_no_step() -> None:
    worked = [StageWorked(BODY, "body", 360, 19200), StageWorked(PAINT, "paint", 420, 24500)]
    drawn = [MaterialDrawn("clear", "ml", 530_000, 3180), MaterialDrawn("filler", "g", 400_000, 3620)]
    spent = Costs(labour_minor=43700, materials_minor=6800, parts_minor=8800, supplies_minor=1400)
    found = waterfall(140000, 140000, PLANNED, worked, drawn, spent)
    assert (found.steps, found.extra_minutes) == ((), {})


def test_a_stage_that_nobody_planned_is_hours_at_the_planned_cost_of_its_skill() -> None:
    found = waterfall(0, 0, PLANNED[:1], [*WORKED[:1], StageWorked(9, "body", 60, 4600)], [], Costs(labour_minor=37100))
    assert steps_of(found) == {"hours": -270 * 3200 // 60, "who": -1400 - 90 * 1400 // 60}


def test_work_of_a_skill_that_nobody_planned_is_hours_at_what_it_cost() -> None:
    found = waterfall(0, 0, [], [StageWorked(9, "detail", 50, 2917)], [], Costs(labour_minor=2917))
    assert steps_of(found) == {"hours": -2917}


def test_hours_typed_without_a_stage_are_held_against_the_stage_that_came_of_them() -> None:
    typed = [planned_labour(60, 3200, skill="body")]
    found = waterfall(0, 0, typed, [StageWorked(9, "body", 90, 4800)], [], Costs(labour_minor=4800))
    assert steps_of(found) == {"hours": -1600}
    assert found.extra_minutes == {"body": 30}


def test_material_that_nobody_planned_or_nobody_used_is_use() -> None:
    plan = [ApprovedPiece(WorkKind.MATERIALS, 500, role="clear", unit="ml", amount_thousandths=100_000)]
    found = waterfall(0, 0, plan, [], [MaterialDrawn("tack_cloth", "piece", 1000, 120)], Costs(materials_minor=120))
    assert steps_of(found) == {"material_use": 380}


def test_material_in_another_unit_than_planned_is_use_for_no_price_can_be_told() -> None:
    plan = [ApprovedPiece(WorkKind.MATERIALS, 500, role="filler", unit="ml", amount_thousandths=100_000)]
    found = waterfall(0, 0, plan, [], [MaterialDrawn("filler", "g", 90_000, 700)], Costs(materials_minor=700))
    assert steps_of(found) == {"material_use": -200}


money = st.integers(0, 10**7)
minutes = st.integers(0, 3000)
skills = st.sampled_from(["body", "paint", "detail"])
labour = st.builds(
    lambda each, hour, stage, skill: planned_labour(each, hour, stage_id=stage, skill=skill),
    minutes,
    st.integers(0, 9000),
    st.one_of(st.none(), st.integers(1, 4)),
    skills,
)
keys = st.sampled_from(["clear", "filler", "tape"])
amounts = st.integers(0, 10**6)
materials = st.builds(
    lambda cost, key, amount: ApprovedPiece(WorkKind.MATERIALS, cost, role=key, unit="ml", amount_thousandths=amount),
    money,
    keys,
    amounts,
)
pieces = st.lists(st.one_of(labour, materials, st.builds(ApprovedPiece, st.sampled_from(list(WorkKind)), money)))


@given(
    money,
    money,
    pieces,
    st.lists(st.builds(StageWorked, st.integers(1, 6), skills, minutes, money)),
    st.lists(st.builds(MaterialDrawn, keys, st.just("ml"), amounts, money)),
    st.builds(Costs, money, money, money, money, money, money),
)
def test_the_steps_always_sum_to_the_minor_unit(
    agreed: int,
    invoiced: int,
    plan: list[ApprovedPiece],
    worked: list[StageWorked],
    drawn: list[MaterialDrawn],
    spent: Costs,
) -> None:
    found = waterfall(agreed, invoiced, plan, worked, drawn, spent)
    assert sum(step.minor for step in found.steps) == found.made.margin_minor - found.planned.margin_minor
    assert found.planned.margin_minor == agreed - sum(piece.cost_minor for piece in plan)


@given(
    st.lists(labour, unique_by=lambda piece: piece.stage_id),
    st.lists(st.builds(StageWorked, st.integers(1, 4), skills, minutes, money)),
)
def test_who_did_it_is_what_the_people_cost_beside_the_planned_hour_but_for_rounding(
    plan: list[ApprovedPiece], worked: list[StageWorked]
) -> None:
    hours = {piece.stage_id: piece.hour_minor for piece in plan}
    known = [each for each in worked if each.stage_id in hours]
    spent = Costs(labour_minor=sum(each.cost_minor for each in known))
    found = steps_of(waterfall(0, 0, plan, known, [], spent)).get("who", 0)
    beside = sum(each.minutes * hours[each.stage_id] / 60 - each.cost_minor for each in known)
    assert abs(found - beside) <= (len(plan) + 1) / 2
