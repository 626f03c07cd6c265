"""What an hour of a skill is planned to cost, and what planned hours come to."""

from shopbook.trade.results.approved_work import WorkKind, mean_hours, planned_labour

SKILLS = {1: {"body"}, 2: {"body", "paint"}, 3: {"paint"}, 4: {"detail"}, 5: {"body"}}


def test_an_hour_costs_the_mean_of_the_people_with_that_skill() -> None:
    costs = {1: 3000, 2: 3400, 3: 3600}
    assert mean_hours(SKILLS, costs, ["body", "paint"]) == {"body": 3200, "paint": 3500}


def test_a_skill_that_nobody_with_a_cost_has_is_at_the_mean_of_everybody() -> None:
    assert mean_hours(SKILLS, {1: 3000, 3: 3601}, ["detail"]) == {"detail": 3301}
    assert mean_hours(SKILLS, {}, ["detail"]) == {"detail": 0}


def test_somebody_who_left_counts_no_more() -> None:
    assert mean_hours({1: {"body"}}, {1: 3000, 9: 9000}, ["body"]) == {"body": 3000}


def test_planned_hours_are_rounded_once() -> None:
    piece = planned_labour(360, 3200, skill="body")
    assert (piece.kind, piece.cost_minor, piece.minutes, piece.skill) == (WorkKind.LABOUR, 19200, 360, "body")
    assert planned_labour(1, 3201).cost_minor == 53
