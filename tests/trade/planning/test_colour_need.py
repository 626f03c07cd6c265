"""Colour to buy for a car: summed over its stages, rounded to what is sold, covered by what was bought."""

from shopbook.trade.planning.colour_need import PlannedColour, colour_needs

BASE = PlannedColour("colour", "Paint mixed for this car", 197_000, "Base and clear")
MORE = PlannedColour("colour", "Paint mixed for this car", 99_000, "Base again")
MID = PlannedColour("mid_colour", "Mid coat mixed for this car", 180_000, "Base and clear")


def test_two_stages_of_one_colour_are_one_line_in_what_is_sold() -> None:
    (need,) = colour_needs([BASE, MORE], "SI 123", 250_000, [])
    assert (need.need_thousandths, need.sold_thousandths, need.stage) == (296_000, 500_000, "Base and clear")
    assert need.words == "Paint mixed for this car, SI 123, 500 ml, for base and clear"


def test_what_was_bought_covers_its_own_colour_and_any_covers_the_only_one() -> None:
    assert [each.role for each in colour_needs([BASE, MID], "", 250_000, ["Mid coat mixed for this car, P1"])] == [
        "colour"
    ]
    assert colour_needs([BASE], "", 250_000, ["Tinted base"]) == []
    assert colour_needs([], "", 250_000, []) == []
