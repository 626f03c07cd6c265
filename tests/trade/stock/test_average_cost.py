"""The stock ledger's arithmetic: each act alone, then a thousand random histories that must close to the unit."""

import random
from collections.abc import Callable
from fractions import Fraction

import pytest

from shopbook.trade.errors import RuleBroken
from shopbook.trade.stock.average_cost import (
    Outcome,
    correct_price,
    count,
    issue,
    open_with,
    prove,
    receive,
    return_from_stage,
    return_to_supplier,
    waste,
)
from shopbook.trade.stock.movements import EMPTY, Drawn, MovementKind, Posting, Ratio, Stock

K = MovementKind


def test_the_last_of_a_stock_takes_all_the_value_there_is() -> None:
    stock, _ = receive(EMPTY, 3_000, 1_000)
    taken = []
    for _ in range(3):
        stock, lines = issue(stock, 1_000)
        taken.append(-lines[0].value_minor)
    assert taken == [333, 334, 333]
    assert (stock.quantity_thousandths, stock.value_minor) == (0, 0)


def test_drawing_more_than_the_shelf_holds_is_two_lines_and_the_second_is_flagged() -> None:
    stock, _ = receive(EMPTY, 1_000, 500)
    stock, lines = issue(stock, 1_500)
    assert lines == (Posting(K.ISSUED, -1_000, -500), Posting(K.ISSUED, -500, -250, is_beyond_book=True))
    assert (stock.quantity_thousandths, stock.value_minor) == (-500, -250)


def test_the_last_crumb_leaves_the_basis_as_the_receipt_set_it() -> None:
    stock, _ = receive(EMPTY, 1_000, 999)
    stock, _ = issue(stock, 999)
    stock, _ = issue(stock, 1)
    _, lines = issue(stock, 1_000)
    assert lines[0].value_minor == -999


def test_without_any_price_it_goes_at_nil_and_says_so() -> None:
    stock, lines = issue(EMPTY, 1_000)
    assert lines == (Posting(K.ISSUED, -1_000, 0, is_beyond_book=True, is_unpriced=True),)
    assert stock.value_minor == 0


def test_without_a_basis_the_suppliers_price_is_used() -> None:
    _, lines = issue(EMPTY, 250, Ratio(2_000, 1_000))
    assert lines == (Posting(K.ISSUED, -250, -500, is_beyond_book=True),)


def test_the_smallest_price_of_the_smallest_quantity_is_known() -> None:
    """One minor unit for a litre, and five for a thousandth of a piece, are prices; nothing for something is none."""
    assert (Ratio(1, 1_000).is_known, Ratio(5, 1).is_known) == (True, True)
    assert (Ratio(0, 1_000).is_known, Ratio(5, 0).is_known) == (False, False)
    assert issue(EMPTY, 3_000, Ratio(1, 1_000))[1][0].value_minor == -3


def test_a_gift_does_not_price_what_follows_it() -> None:
    stock, _ = receive(EMPTY, 1_000, 0)
    stock, _ = issue(stock, 1_000)
    _, lines = issue(stock, 500, Ratio(40, 100))
    assert lines[0].value_minor == -200


def test_a_delivery_into_a_negative_book_trues_up_what_was_guessed() -> None:
    stock = Stock(-500, -250, 500, 1_000)
    stock, lines = receive(stock, 2_000, 1_200)
    assert lines == (Posting(K.RECEIVED, 2_000, 1_200), Posting(K.TRUE_UP, 0, -50))
    assert (stock.quantity_thousandths, stock.value_minor) == (1_500, 900)


def test_a_delivery_that_covers_only_part_carries_only_its_share() -> None:
    stock, lines = receive(Stock(-1_000, -500, 500, 1_000), 400, 300)
    assert lines == (Posting(K.RECEIVED, 400, 300), Posting(K.TRUE_UP, 0, -100))
    assert (stock.quantity_thousandths, stock.value_minor) == (-600, -300)
    assert stock.basis == Ratio(300, 400)


def test_what_a_stage_brings_back_costs_what_that_stage_paid_not_todays_average() -> None:
    stock, _ = receive(EMPTY, 1_000, 1_000)
    stock, _ = issue(stock, 300)
    stock, _ = receive(stock, 1_000, 9_000)
    stock, lines = return_from_stage(stock, 100, Drawn(300, 300))
    assert lines == (Posting(K.RETURNED_FROM_STAGE, 100, 100),)


def test_the_last_back_from_a_stage_takes_its_remainder() -> None:
    drawn, stock, back = Drawn(3, 10), Stock(10, 10, 10, 10), []
    for _ in range(3):
        stock, lines = return_from_stage(stock, 1, drawn)
        back.append(lines[0].value_minor)
        drawn = Drawn(drawn.quantity_thousandths - 1, drawn.value_minor - back[-1])
    assert sum(back) == 10
    assert drawn == Drawn(0, 0)


def test_no_more_comes_back_than_was_taken() -> None:
    with pytest.raises(RuleBroken):
        return_from_stage(Stock(10, 10, 1, 1), 4, Drawn(3, 10))


def test_a_return_into_a_negative_book_covers_it_like_a_receipt() -> None:
    stock, lines = return_from_stage(Stock(-100, -50, 500, 1_000), 100, Drawn(200, 180))
    assert lines == (Posting(K.RETURNED_FROM_STAGE, 100, 90), Posting(K.TRUE_UP, 0, -40))
    assert (stock.quantity_thousandths, stock.value_minor) == (0, 0)


def test_back_to_the_supplier_the_difference_to_the_credit_is_variance() -> None:
    stock, lines = return_to_supplier(Stock(1_000, 1_000, 1_000, 1_000), 400, 350)
    assert lines == (Posting(K.RETURNED_TO_SUPPLIER, -400, -350), Posting(K.VARIANCE, 0, -50))
    assert stock.value_minor == 600


def test_a_dearer_bill_is_kept_only_for_what_is_still_here() -> None:
    stock, lines = correct_price(Stock(400, 400, 1_000, 1_000), 1_000, 100)
    assert lines == (Posting(K.PRICE_CORRECTED, 0, 100), Posting(K.VARIANCE, 0, -60))
    assert stock.value_minor == 440
    assert stock.basis == Ratio(440, 400)


def test_a_cheaper_bill_never_takes_the_stock_under_nothing() -> None:
    stock, lines = correct_price(Stock(1_000, 30, 30, 1_000), 1_000, -100)
    assert stock.value_minor == 0
    assert lines[1] == Posting(K.VARIANCE, 0, 70)


def test_a_bill_for_a_delivery_long_used_up_is_all_variance_and_reprices_the_basis() -> None:
    stock, lines = correct_price(Stock(-100, 0, 0, 0), 1_000, 500)
    assert lines == (Posting(K.PRICE_CORRECTED, 0, 500), Posting(K.VARIANCE, 0, -500))
    assert stock.basis == Ratio(500, 1_000)


def test_a_count_moves_the_difference_at_average() -> None:
    stock = Stock(1_000, 500, 500, 1_000)
    assert count(stock, 800)[1] == (Posting(K.COUNTED_DOWN, -200, -100),)
    assert count(stock, 1_200)[1] == (Posting(K.COUNTED_UP, 200, 100),)
    assert count(stock, 1_000) == (stock, ())


def test_a_count_of_nothing_from_a_negative_book_leaves_no_value() -> None:
    stock, lines = count(Stock(-100, -90, 500, 1_000), 0)
    assert (stock.quantity_thousandths, stock.value_minor) == (0, 0)
    assert lines == (Posting(K.COUNTED_UP, 100, 50), Posting(K.TRUE_UP, 0, 40))


@pytest.mark.parametrize(
    "act",
    [
        lambda stock: receive(stock, 0, 10),
        lambda stock: receive(stock, 10, -1),
        lambda stock: issue(stock, 0),
        lambda stock: waste(stock, -5),
        lambda stock: count(stock, -1),
        lambda stock: return_to_supplier(stock, 1, -1),
        lambda stock: correct_price(stock, 0, 5),
    ],
)
def test_nothing_and_less_than_nothing_are_refused(act: Callable[[Stock], Outcome]) -> None:
    with pytest.raises(RuleBroken):
        act(Stock(1_000, 500, 500, 1_000))


def test_a_proof_shows_value_that_went_missing() -> None:
    stock, lines = receive(EMPTY, 1_000, 500)
    assert prove(lines, stock).is_sound
    assert prove(lines, Stock(1_000, 499)).gap_minor == 1
    assert prove(lines, Stock(999, 500)).quantity_gap_thousandths == 1


class _History:
    """One material, its ledger, and what each stage still has of it."""

    def __init__(self, seed: int) -> None:
        self.dice = random.Random(seed)
        self.stock = EMPTY
        self.lines: list[Posting] = []
        self.stages: list[Drawn] = []
        self.most = self.dice.choice([5, 1_000, 5_000_000])

    def some(self) -> int:
        return self.dice.randint(1, self.most)

    def price(self) -> Ratio:
        return self.dice.choice([Ratio(), Ratio(self.some(), self.some())])

    def step(self) -> None:
        acts = [self._receive, self._issue, self._issue, self._issue, self._waste, self._count]
        acts += [self._give_back, self._send_back, self._correct]
        outcome = self.dice.choice(acts)()
        before = self.stock
        self.stock, lines = outcome
        self.lines += lines
        assert before.value_minor + sum(line.value_minor for line in lines) == self.stock.value_minor

    def _receive(self) -> Outcome:
        act = self.dice.choice([receive, open_with])
        return act(self.stock, self.some(), self.dice.choice([0, self.some(), self.some()]))

    def _issue(self) -> Outcome:
        wanted = self.dice.choice([self.some(), max(self.stock.quantity_thousandths, 1)])
        outcome = issue(self.stock, wanted, self.price())
        self.stages.append(Drawn(wanted, -sum(line.value_minor for line in outcome[1])))
        return outcome

    def _give_back(self) -> Outcome:
        if not self.stages:
            return self._receive()
        place = self.dice.randrange(len(self.stages))
        drawn = self.stages.pop(place)
        back = self.dice.choice([drawn.quantity_thousandths, self.dice.randint(1, drawn.quantity_thousandths)])
        outcome = return_from_stage(self.stock, back, drawn)
        rest = Drawn(drawn.quantity_thousandths - back, drawn.value_minor - outcome[1][0].value_minor)
        assert rest.value_minor >= 0
        if rest.quantity_thousandths:
            self.stages.append(rest)
        else:
            assert rest.value_minor == 0
        return outcome

    def _waste(self) -> Outcome:
        return waste(self.stock, self.some(), self.price())

    def _count(self) -> Outcome:
        return count(self.stock, self.dice.choice([0, self.some()]), self.price())

    def _send_back(self) -> Outcome:
        return return_to_supplier(self.stock, self.some(), self.dice.choice([0, self.some()]), self.price())

    def _correct(self) -> Outcome:
        return correct_price(self.stock, self.some(), self.dice.choice([1, -1]) * self.some())


@pytest.mark.parametrize("block", range(10))
def test_a_hundred_random_histories_close_to_the_minor_unit_at_every_step(block: int) -> None:
    for seed in range(block * 100, block * 100 + 100):
        history = _History(seed)
        for _ in range(60):
            history.step()
            stock = history.stock
            assert stock.quantity_thousandths > 0 or stock.value_minor <= 0, seed
            assert stock.quantity_thousandths < 0 or stock.value_minor >= 0, seed
            assert stock.basis_value_minor >= 0, seed
        proof = prove(history.lines, history.stock)
        assert (proof.gap_minor, proof.quantity_gap_thousandths) == (0, 0), seed
        assert proof.issued_minor == sum(drawn.value_minor for drawn in history.stages), seed


def test_the_value_left_stays_within_a_unit_a_step_of_the_average_kept_as_exact_fractions() -> None:
    dice = random.Random(4)
    for _ in range(100):
        stock, exact = EMPTY, Fraction(0)
        for steps in range(1, 41):
            if stock.quantity_thousandths < 2 or dice.random() < 0.4:
                quantity, value = dice.randint(1, 10**6), dice.randint(1, 10**5)
                stock, _ = receive(stock, quantity, value)
                exact += value
            else:
                taken = dice.randint(1, stock.quantity_thousandths - 1)
                exact -= exact * Fraction(taken, stock.quantity_thousandths)
                stock, _ = issue(stock, taken)
            assert abs(stock.value_minor - exact) <= Fraction(steps, 2)
