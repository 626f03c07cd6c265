"""What of a kept car bears on its plan."""

import pytest

from shopbook.models.customers import Vehicle
from shopbook.queries.jobs.planning import car_of
from shopbook.trade.coating.gun import hides_weakly


@pytest.mark.parametrize(
    ("name", "code", "is_weak"),
    [("", "RED 31", True), ("Sun yellow", "K-12", True), ("", "K-12", False), ("Strong red", "RED 31", False)],
)
def test_a_colour_that_hides_poorly_is_known_by_its_name_or_by_the_words_in_its_code(
    name: str, code: str, is_weak: bool
) -> None:
    car = car_of(
        Vehicle(
            finish="solid",
            hue="",
            colour_name=name,
            colour_code=code,
            is_high_voltage=False,
            has_driver_aids=False,
        )
    )
    assert hides_weakly(car.hue) is is_weak
