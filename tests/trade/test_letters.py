"""The first letter, large or small, and a code said plainly."""

from shopbook.trade.letters import lower_first, plain_code, upper_first


def test_only_the_first_letter_changes_so_that_a_name_inside_stays() -> None:
    assert (upper_first("dent above the VIN plate"), lower_first("Polish as Mr Ash said")) == (
        "Dent above the VIN plate",
        "polish as Mr Ash said",
    )
    assert (upper_first(""), lower_first("")) == ("", "")


def test_a_code_without_a_name_is_said_plainly() -> None:
    assert plain_code("clear_medium") == "Clear medium"
