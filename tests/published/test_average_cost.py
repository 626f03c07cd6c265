"""Moving weighted average against printed examples; each names its source. Quantities in units, money in cents."""

from fractions import Fraction

import pytest

from shopbook.trade.stock.average_cost import issue, receive, return_from_stage
from shopbook.trade.stock.movements import EMPTY, Drawn, Stock

UNIT = 1_000


def _run(steps: str, *, cents: int = 100) -> tuple[Stock, list[int], list[tuple[int, int]]]:
    """Steps such as "+500@2.40 -300"; the standing at the end, the cost of each sale, every balance."""
    stock, sales, balances = EMPTY, [], []
    for step in steps.split():
        if step.startswith("+"):
            quantity, price = step[1:].split("@")
            stock, _ = receive(stock, int(quantity) * UNIT, int(int(quantity) * Fraction(price) * cents))
        else:
            stock, lines = issue(stock, int(step[1:]) * UNIT)
            sales.append(-sum(line.value_minor for line in lines))
        balances.append((stock.quantity_thousandths // UNIT, stock.value_minor))
    return stock, sales, balances


def test_instant_cert_lesson_318_is_met_to_the_cent() -> None:
    """Instant Cert, lesson 318: opening 500 for 1,200. Exactly 1,338.33; it prints 1,338.50 because it cuts the
    average to 2.77.
    """
    stock, sales, balances = _run("+500@2.40 -300 +100@3.50 -250 +300@4.00")
    assert sales[0] == 72_000
    assert balances[2] == (300, 83_000)
    assert balances[3] == (50, 13_833)
    assert (stock.quantity_thousandths, stock.value_minor) == (350 * UNIT, 133_833)


def test_the_exercise_with_5200_left_is_met_to_the_cent() -> None:
    """Intermediate accounting exercise (quizlet 634164174): averages 9.921 and 10.308; 5,200 left at 53,602."""
    stock, _, balances = _run("+9200@9.71 +6300@10.23 -7400 +8200@10.69 -11100")
    assert balances[0][1] == 8_933_200
    assert balances[1][1] == 8_933_200 + 6_444_900
    assert round(balances[1][1] / 15_500 / 100, 3) == 9.921
    assert round(balances[3][1] / 16_300 / 100, 3) == 10.308
    assert round(stock.value_minor / 100) == 53_602


def test_the_perpetual_average_with_220_left_is_met_to_the_cent() -> None:
    """homeworksource.com 1123599, perpetual weighted average exercise with solution."""
    stock, sales, balances = _run("+300@8 -175 +375@10 -280")
    assert balances[2] == (500, 475_000)
    assert sales[1] == 266_000
    assert (stock.quantity_thousandths, stock.value_minor) == (220 * UNIT, 209_000)


def test_warren_exhibit_5_is_met_to_the_cent() -> None:
    """Warren, Financial Accounting, Exhibit 5 (solutioninn 7909528): every figure is exact."""
    stock, sales, balances = _run("+1000@20.00 -700 +500@22.40 -360 -240 +600@23.30")
    assert sales == [1_400_000, 774_000, 516_000]
    assert sum(sales) == 2_690_000
    assert balances[1:] == [(300, 600_000), (800, 1_720_000), (440, 946_000), (200, 430_000), (800, 1_828_000)]
    assert stock.basis.of(UNIT) == 2_285


def test_wiley_ias_2_case_study_3_is_met_to_the_cent() -> None:
    """Wiley, IFRS Practical Implementation Guide, IAS 2, case study 3; whole currency units as printed."""
    stock, sales, balances = _run("+100@250 +150@300 -150 +200@350 -170", cents=1)
    assert balances[1:4] == [(250, 70_000), (100, 28_000), (300, 98_000)]
    assert sales[1] == 55_533
    assert (stock.quantity_thousandths, stock.value_minor) == (130 * UNIT, 42_467)


def test_moving_average_of_the_openstax_example_from_memory() -> None:
    """OpenStax, Principles of Accounting 1, section 10.3, from memory: averages 26.294, 31.235, 285 left at 8,902."""
    stock, sales, balances = _run("+150@21 -120 +225@27 -180 +210@33")
    assert balances[2][1] / 255 / 100 == pytest.approx(26.294, abs=0.0005)
    assert stock.value_minor / 285 / 100 == pytest.approx(31.235, abs=0.0005)
    assert round(stock.value_minor / 100) == 8_902
    assert round(sum(sales) / 100) == 7_253


def test_periodic_average_when_every_purchase_comes_before_the_sale() -> None:
    """FinCal 0.6.3 manual, cogs examples: buy 2 at 2, 3 at 3, 5 at 5, sell 7: cost 26.6, left 11.4."""
    stock, sales, _ = _run("+2@2 +3@3 +5@5 -7")
    assert (sales, stock.value_minor) == ([2_660], 1_140)


def test_a_return_keeps_the_averages_of_a_worked_exercise() -> None:
    """Kieso-type exercise with a worked solution (smartsolve.ai), up to its supplier return; its averages by exact
    fractions, since the printed ones slip after the first sale. Its customer's return comes in at the average then in
    force, which here is the price at which it left.
    """
    stock, _ = receive(EMPTY, 100 * UNIT, 2_100 * 10_000)
    averages = [_average(stock)]
    stock, _ = receive(stock, 148 * UNIT, 148 * 24 * 10_000)
    averages.append(_average(stock))
    stock, lines = issue(stock, 114 * UNIT)
    averages.append(_average(stock))
    stock, _ = return_from_stage(stock, 10 * UNIT, Drawn(114 * UNIT, -lines[0].value_minor))
    averages.append(_average(stock))
    stock, _ = receive(stock, 55 * UNIT, 55 * 26 * 10_000)
    averages.append(_average(stock))
    assert averages == [21.0, 22.7903, 22.7903, 22.7903, 23.6774]


def _average(stock: Stock) -> float:
    """Value a unit in ten-thousandths of a currency unit, shown with four places."""
    return round(stock.value_minor / stock.quantity_thousandths * UNIT / 10_000, 4)
