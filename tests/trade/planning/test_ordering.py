"""What a painter says of the order of a plan."""

from shopbook.trade.floor.coat_waits import Layer
from shopbook.trade.planning.ordering import order_warnings
from tests.makers.plans import draft, make_damage

DOOR = ("left_front_door",)


def said(*codes: str) -> list[tuple[str, int | None]]:
    stages = [(Layer(place, code, DOOR), code.capitalize()) for place, code in enumerate(codes, 1)]
    return [(each.sentence, each.stage) for each in order_warnings(stages)]


def test_base_before_the_colour_check_or_the_masking_is_warned_of_at_the_base() -> None:
    found = said("base_clear", "colour", "mask", "unmask", "polish")
    assert [stage for _, stage in found] == [1, 1]
    assert "stands before “colour”" in found[0][0]


def test_polish_before_the_clear_is_warned_of_and_after_it_is_not() -> None:
    assert [stage for _, stage in said("mask", "polish", "base_clear", "unmask")] == [2, 2]
    assert said("mask", "base_clear", "unmask", "polish") == []


def test_what_is_done_a_second_time_is_no_wrong_order_nor_what_is_on_another_panel() -> None:
    assert said("prime", "block", "prime") == []
    stages = [(Layer(1, "block", DOOR), "Block"), (Layer(2, "prime", ("bonnet",)), "Prime")]
    assert order_warnings(stages) == []


def test_a_plan_as_drafted_is_in_order() -> None:
    plan = draft([make_damage(), make_damage(2, "bonnet")])
    layers = [Layer(place, each.code, each.panels) for place, each in enumerate(plan.stages, 1)]
    assert order_warnings([(layer, layer.code) for layer in layers]) == []
