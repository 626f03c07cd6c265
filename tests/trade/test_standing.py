"""Where a job stands, from its moments; and what was typed into the one box for who it is."""

from datetime import UTC, datetime

import pytest

from shopbook.trade.standing import STANDING_TAGS, STANDING_WORDS, Moments, Standing, standing_of
from shopbook.trade.who import Who, read_who

AT = datetime(2026, 11, 5, 17, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("passed", "standing"),
    [
        ((), Standing.BOOKED),
        (("quoted_at",), Standing.QUOTED),
        (("quoted_at", "agreed_at"), Standing.AGREED),
        (("agreed_at",), Standing.AGREED),
        (("agreed_at", "begun_at"), Standing.IN_WORK),
        (("begun_at",), Standing.IN_WORK),
        (("agreed_at", "begun_at", "ready_at"), Standing.READY),
        (("agreed_at", "begun_at", "ready_at", "handed_over_at"), Standing.HANDED_OVER),
        (("agreed_at", "ready_at", "handed_over_at", "settled_at"), Standing.SETTLED),
    ],
)
def test_the_last_moment_passed_says_where_a_job_stands(passed: tuple[str, ...], standing: Standing) -> None:
    assert standing_of(Moments(**dict.fromkeys(passed, AT))) is standing


@pytest.mark.parametrize("passed", [(), ("quoted_at",), ("quoted_at", "agreed_at")])
def test_a_job_that_nobody_pays_for_is_booked_in_until_it_is_begun(passed: tuple[str, ...]) -> None:
    assert standing_of(Moments(**dict.fromkeys(passed, AT), is_paid_for=False)) is Standing.BOOKED


def test_calling_off_stands_over_everything() -> None:
    assert standing_of(Moments(agreed_at=AT, begun_at=AT, called_off_at=AT)) is Standing.CALLED_OFF


def test_a_job_paid_before_the_car_goes_is_not_settled_yet() -> None:
    assert standing_of(Moments(agreed_at=AT, ready_at=AT, settled_at=AT)) is Standing.READY


def test_every_standing_has_a_word_and_a_tag() -> None:
    assert set(STANDING_WORDS) == set(STANDING_TAGS) == set(Standing)


@pytest.mark.parametrize(
    ("typed", "who"),
    [
        ("Mia Lindqvist", Who(name="Mia Lindqvist")),
        ("555-0164", Who(phone="555-0164")),
        ("+44 20 7946 0018", Who(phone="+44 20 7946 0018")),
        ("KTR 204", Who(plate="KTR 204")),
        ("ab12 cde", Who(plate="ab12 cde")),
        ("4711", Who(plate="4711")),
        ("Mia 555-0177", Who(name="Mia", phone="555-0177")),
        ("Mia Lindqvist, +1 (212) 555-0177", Who(name="Mia Lindqvist", phone="+1 (212) 555-0177")),
        ("555-0164 Rena Kolb", Who(name="Rena Kolb", phone="555-0164")),
        ("  555-0164,  Rena   Kolb ", Who(name="Rena Kolb", phone="555-0164")),
        ("+1 (212) 555-0177 Mia", Who(name="Mia", phone="+1 (212) 555-0177")),
        ("555-0164 Bo", Who(name="Bo", phone="555-0164")),
        ("555-0164 - Garage 21", Who(name="Garage 21", phone="555-0164")),
        ("640164 Rena Kolb", Who(name="Rena Kolb", phone="640164")),
        ("123456 AB", Who(plate="123456 AB")),
        ("12 Long Street Garage", Who(name="12 Long Street Garage")),
        ("Łukasz Żak", Who(name="Łukasz Żak")),
        ("李雷", Who(name="李雷")),
        ("Garage 21 of Long Street", Who(name="Garage 21 of Long Street")),
        ("   ", Who()),
    ],
)
def test_one_box_tells_a_name_a_phone_and_a_plate_apart(typed: str, who: Who) -> None:
    assert read_who(typed) == who
