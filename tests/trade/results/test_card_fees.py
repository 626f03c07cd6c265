"""What is kept of money taken by card."""

from datetime import date

from shopbook.trade.results.card_fees import CardFee, MeansFees, PaidBy, fee_on, sum_fees

NOV = date(2026, 11, 4)
CARD = CardFee("card", 2_600, 0, date(2026, 1, 1))


def test_2_6_percent_of_9_400_is_244_40() -> None:
    assert sum_fees([PaidBy("card", 940_000, NOV)], [CARD]) == (MeansFees("card", 940_000, 24_440),)


def test_a_fixed_part_comes_with_every_payment() -> None:
    fee = CardFee("card", 2_600, 10, date(2026, 1, 1))
    assert fee.of(25_000) == 660
    paid = [PaidBy("card", 25_000, NOV), PaidBy("card", 25_000, NOV)]
    assert sum_fees(paid, [fee]) == (MeansFees("card", 50_000, 1_320),)


def test_each_payment_takes_the_fee_of_its_own_day_and_the_later_line_of_a_day_wins() -> None:
    fees = [CARD, CardFee("card", 1_000, 0, NOV), CardFee("card", 1_500, 0, NOV)]
    assert fee_on(list(reversed(fees)), "card", date(2026, 11, 3)) == CARD
    paid = [PaidBy("card", 10_000, date(2026, 11, 3)), PaidBy("card", 10_000, NOV)]
    assert sum_fees(paid, fees) == (MeansFees("card", 20_000, 260 + 150),)


def test_cash_has_no_fee_and_no_row() -> None:
    assert sum_fees([PaidBy("cash", 10_000, NOV), PaidBy("card", 10_000, date(2025, 1, 1))], [CARD]) == ()


def test_a_payment_that_was_entered_wrong_takes_its_fee_back() -> None:
    fee = CardFee("card", 2_600, 10, date(2026, 1, 1))
    paid = [PaidBy("card", 25_000, NOV), PaidBy("card", 25_000, NOV, takes_back=True), PaidBy("card", 5_200, NOV)]
    assert sum_fees(paid, [fee]) == (MeansFees("card", 5_200, 145),)
