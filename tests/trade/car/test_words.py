"""A car is named by what is known of it."""

from shopbook.trade.car.words import car_words


def test_a_car_is_named_by_what_is_known_of_it() -> None:
    assert car_words(2017, "hatchback", "harbour blue", "AB 123") == "2017 hatchback, harbour blue, AB 123"
    assert car_words(None, "van", "", "AB 123") == "van, AB 123"
    assert car_words(2017, " ") == "2017 car"
    assert car_words(None, "", "blue") == "car, blue"
