"""The shop's own costs and break-even as the month says them, the same rows for screen, paper and table."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from shopbook.documents.month.house_costs import break_even_section, house_rows, left_rows, rate_sentence
from shopbook.documents.month.section import Section, SectionRow
from shopbook.trade.measures.amounts import format_minor
from shopbook.trade.results.break_even import BreakEven, PaintHours
from shopbook.trade.results.card_fees import MeansFees
from shopbook.trade.results.paid_hours import PaidTime, PersonPaid, Wages


@dataclass(frozen=True)
class Saying:
    """Words and amounts of a shop in the United States."""

    money: Callable[[int], str] = format_minor
    sum_of: Callable[[int], str] = lambda minor: format_minor(minor, symbol="$")
    say: Callable[[str], str] = lambda words: words.replace("{labour}", "labor").replace("{supplies}", "shop supplies")


SAYS = Saying()
OWNER = PersonPaid(1, "Noor", True, PaidTime(168 * 60, 772_800), 92_000)
SAM = PersonPaid(2, "Sam", False, PaidTime(168 * 60, 700_000), 500_000)
KIM = PersonPaid(3, "Kim", False, PaidTime(168 * 60, 677_600), 406_480)
WAGES = Wages((KIM, OWNER, SAM))
FIXED = (("Rent", 300_000), ("Insurance", 100_000), ("Power", 50_000), ("Phone", 15_000), ("Accountant", 4_570))
EVEN = BreakEven(16_218, 2_292_605, 1_708_575, 184_265, 809_600, 2_108_340)


def figures(section: Section) -> dict[str, str]:
    return {row.code: row.figures[0] for row in section.rows}


def test_what_is_taken_off_gross_profit_beside_the_cars() -> None:
    rows = house_rows(WAGES, FIXED, [MeansFees("card", 940_000, 24_440)], SAYS)
    assert rows == [
        SectionRow("wages", "Wages no job carries", ("−4,711.20",), "13,776.00 paid, 9,064.80 on jobs"),
        SectionRow("fixed", "Rent, Insurance, Power, other", ("−4,695.70",), "5 fixed costs"),
        SectionRow("fee_card", "Card fees", ("−244.40",), "2.6 % of 9,400.00"),
    ]


def test_a_shop_that_entered_nothing_says_so() -> None:
    rows = house_rows(Wages(), (), (), SAYS)
    assert [(row.label, row.below) for row in rows] == [
        ("Wages no job carries", "0.00 paid, 0.00 on jobs"),
        ("Fixed costs", "none entered"),
    ]


def test_more_clocked_than_paid_is_a_warning() -> None:
    wages = Wages((PersonPaid(2, "Sam", False, PaidTime(60, 3_000), 4_500),))
    assert house_rows(wages, (), (), SAYS)[0].below.endswith("more than was paid: check paid hours")


def test_what_is_left_before_and_after_the_owners_pay() -> None:
    even = replace(EVEN, own_pay_minor=772_800)
    assert left_rows(even, WAGES, 92_000, SAYS) == [
        SectionRow("owner_hours", "Noor’s hours on jobs, added back", ("920.00",)),
        SectionRow("net_profit", "Net profit before tax", ("5,840.30",)),
        SectionRow("own_pay", "Noor’s own pay", ("−7,728.00",), "168.0 h at 46.00"),
        SectionRow("after_pay", "After it", ("−1,887.70",)),
    ]
    assert [row.code for row in left_rows(replace(EVEN, own_pay_minor=None), WAGES, 0, SAYS)] == ["net_profit"]


def test_the_worked_month_in_words() -> None:
    section = break_even_section(EVEN, WAGES, PaintHours(7_080, 121_040, 63_800, 18_251, 495_600), SAYS)
    assert figures(section) == {
        "paid": "336.0 h",
        "hours_sold": "270.3 h",
        "brought": "$84.82",
        "break_even_hour": "$63.21",
        "break_even_with_pay": "$93.16",
        "materials_hour": "$17.21 of $42.00",
    }
    assert section.rows[0].label == "Paid, 2 people"
    assert section.rows[4].label == "with Noor’s own pay"
    assert section.note == (
        "With your profit on paint and parts, a labor rate of $56.39 breaks even ($86.35 with your own pay); "
        "you charge $78.00."
    )


def test_without_an_hour_sold_there_is_a_dash_and_no_sentence() -> None:
    section = break_even_section(replace(EVEN, minutes=0), WAGES, PaintHours(0, 0, 0, 0, 0), SAYS)
    assert set(figures(section)) == {"paid", "hours_sold", "brought", "break_even_hour", "break_even_with_pay"}
    assert (figures(section)["break_even_hour"], section.note) == ("–", "")


def test_the_sentence_when_paint_and_parts_lose_or_carry_it_all() -> None:
    assert rate_sentence(replace(EVEN, paint_and_parts_minor=-1), SAYS).startswith("With your loss on paint and parts")
    alone = rate_sentence(replace(EVEN, paint_and_parts_minor=2_000_000), SAYS)
    assert alone == "Your profit on paint and parts alone breaks even; you charge $78.00."
    assert "with your own pay" not in rate_sentence(replace(EVEN, own_pay_minor=None), SAYS)


def test_several_owners_have_their_pay_together() -> None:
    wages = Wages((OWNER, replace(OWNER, person_id=4, name="Ada"), SAM))
    section = break_even_section(EVEN, wages, None, SAYS)
    assert section.rows[-1].label == "with the owners’ own pay"
    assert left_rows(EVEN, wages, 0, SAYS)[1].label == "The owners’ own pay"
