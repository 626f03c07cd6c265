"""Movements gone through once more make the figures that each act left behind."""

from shopbook.trade.stock.average_cost import Outcome, correct_price, issue, receive, take_back
from shopbook.trade.stock.movements import EMPTY, MovementKind, Posting, Stock
from shopbook.trade.stock.replaying import Replay, Written


def replayed(outcomes: list[Outcome], delivered: int = 0) -> Stock:
    replay = Replay()
    for _, lines in outcomes:
        for line in lines:
            wanted = replay.take(Written(line.kind, line.quantity_thousandths, line.value_minor, delivered))
            assert wanted in (None, line.value_minor)
    return replay.end()


def test_two_deliveries_make_the_newest_price_and_what_leaves_goes_at_average() -> None:
    first = receive(EMPTY, 100, 1000)
    second = receive(first[0], 100, 1400)
    third = issue(second[0], 50)
    assert third[1] == (Posting(MovementKind.ISSUED, -50, -600),)
    assert replayed([first, second, third]) == third[0] == Stock(150, 1800, 2400, 200)


def test_a_delivery_that_only_covers_what_was_missing_sets_its_own_price() -> None:
    beyond = issue(EMPTY, 300)
    came = receive(beyond[0], 100, 900)
    assert replayed([beyond, came]) == came[0]
    assert came[0].basis_quantity_thousandths == 100


def test_a_corrected_price_is_followed_with_stock_left_and_without() -> None:
    came = receive(EMPTY, 100, 1000)
    corrected = correct_price(came[0], 100, 200)
    gone = issue(corrected[0], 100)
    late = correct_price(gone[0], 100, -300)
    assert replayed([came, corrected, gone, late], delivered=100) == late[0]


def test_a_line_that_takes_another_back_leaves_the_price_alone() -> None:
    came = receive(EMPTY, 100, 1000)
    second = receive(came[0], 100, 1400)
    back = take_back(second[0], second[1][0])
    replay = Replay()
    for line in (*came[1], *second[1]):
        replay.take(Written(line.kind, line.quantity_thousandths, line.value_minor))
    (undone,) = back[1]
    replay.take(Written(undone.kind, undone.quantity_thousandths, undone.value_minor, is_undoing=True))
    assert replay.end() == back[0]
    assert back[0].basis_quantity_thousandths == 200
