"""A payer's account by hand: a dealer's November, money typed in later, others' money, what was written off."""

from datetime import UTC, date, datetime

import pytest

from shopbook.trade.billing.account import (
    AccountKind,
    AccountRows,
    MoneyRow,
    SetRow,
    ShareRow,
)
from shopbook.trade.billing.ageing import AgeBand
from shopbook.trade.billing.statements import standing_on, statement_of

NOV_1, NOV_30 = date(2026, 11, 1), date(2026, 11, 30)


def at(day: date, hour: int = 12) -> datetime:
    return datetime(day.year, day.month, day.day, hour, tzinfo=UTC)


def share(paper: int, on: date, due: date, amount: int, **given: object) -> ShareRow:
    row = {"place": (paper, 1), "on": on, "at": at(on), "due_on": due, "amount_minor": amount, "paper_id": paper}
    return ShareRow(**(row | {"kind": "invoice", "number": paper, "job_number": paper} | given))  # type: ignore[arg-type]


def money(key: int, on: date, amount: int, **given: object) -> MoneyRow:
    row = {"id": key, "kind": "payment", "number": key, "on": on, "at": at(on), "amount_minor": amount}
    return MoneyRow(**(row | {"is_own": amount > 0} | given))  # type: ignore[arg-type]


def against(payment: MoneyRow, paper: int, amount: int, *, on: date | None = None, is_mine: bool = True) -> SetRow:
    day = on or payment.on
    when = payment.at if on is None else at(day, 15)
    return SetRow(payment, (paper, 1), day, when, amount, is_mine, ("invoice", paper))


def dealers_november() -> AccountRows:
    """880.00 and 1,545.41 of October; 1,360.00 come on Nov 6, 480.00 of them too much; two invoices follow."""
    paid = money(1188, date(2026, 11, 6), 136_000)
    shares = [
        share(1040, date(2026, 10, 7), date(2026, 11, 6), 88_000),
        share(1046, date(2026, 10, 20), date(2026, 11, 19), 154_541),
        share(1066, date(2026, 11, 18), date(2026, 12, 18), 141_213),
        share(1067, date(2026, 11, 20), date(2026, 12, 20), 94_956),
    ]
    return AccountRows(shares, [paid], [against(paid, 1040, 88_000)])


def test_a_month_opens_with_what_was_owed_and_each_line_has_the_balance_after_it() -> None:
    statement = statement_of(dealers_november(), NOV_1, NOV_30)
    assert statement.opening_minor == 242_541
    assert [(line.entry.on.day, line.entry.amount_minor, line.balance_minor) for line in statement.lines] == [
        (6, -136_000, 106_541),
        (18, 141_213, 247_754),
        (20, 94_956, 342_710),
    ]
    assert (statement.charged_minor, statement.taken_off_minor) == (236_169, 136_000)
    assert statement.closing_minor == statement.end.balance_minor == 342_710


def test_to_pay_now_is_what_is_overdue_less_unused_credit() -> None:
    end = statement_of(dealers_november(), NOV_1, NOV_30).end
    assert [(row.share.number, row.owed_minor, row.days_late(end.day)) for row in end.papers] == [
        (1046, 154_541, 11),
        (1066, 141_213, 0),
        (1067, 94_956, 0),
    ]
    assert [row.free_minor for row in end.credits] == [48_000]
    assert end.ageing.by_band[AgeBand.CURRENT] == 236_169
    assert end.ageing.by_band[AgeBand.TO_30] == 154_541
    assert end.pay_now_minor == 106_541
    assert standing_on(dealers_november(), date(2026, 11, 19)).pay_now_minor == 0


def test_a_credit_greater_than_what_is_overdue_leaves_nothing_to_pay_now() -> None:
    rows = AccountRows([share(1, NOV_1, NOV_1, 10_000)], [money(2, NOV_1, 30_000)], [])
    end = standing_on(rows, NOV_30)
    assert (end.balance_minor, end.pay_now_minor) == (-20_000, 0)


def test_the_same_day_has_the_same_figure_whatever_came_later() -> None:
    rows, then = dealers_november(), date(2026, 11, 5)
    later = [share(2001, date(2027, 3, 1), date(2027, 4, 1), 5_000)]
    credit = share(1046, date(2027, 3, 2), date(2027, 3, 2), -154_541, paper_id=77, kind="credit")
    more = AccountRows([*rows.shares, *later, credit], rows.money, rows.sets)
    assert standing_on(more, then) == standing_on(rows, then)
    assert standing_on(rows, then).balance_minor == 242_541


def test_money_of_last_month_that_is_typed_in_later_pays_its_invoice_in_its_own_month() -> None:
    entered = at(date(2026, 11, 5))
    paid = money(1, date(2026, 10, 31), 10_000, at=entered)
    set_then = SetRow(paid, (9, 1), date(2026, 11, 5), entered, 10_000, True, ("invoice", 9))
    rows = AccountRows([share(9, date(2026, 10, 30), date(2026, 10, 30), 10_000)], [paid], [set_then])
    end = standing_on(rows, date(2026, 10, 31))
    assert (end.papers, end.credits) == ((), ())
    assert standing_on(rows, date(2026, 10, 30)).balance_minor == 10_000


def test_a_payment_that_was_returned_is_owed_again_from_the_day_it_went_back() -> None:
    paid = money(1, date(2026, 11, 5), 82_616)
    gone = date(2026, 11, 20)
    back = money(2, gone, -82_616, kind="returned_cheque", reverses_id=1)
    off = SetRow(paid, (7, 1), gone, back.at, -82_616, True, ("invoice", 7))
    rows = AccountRows(
        [share(7, date(2026, 11, 4), date(2026, 11, 4), 82_616)], [paid, back], [against(paid, 7, 82_616), off]
    )
    assert standing_on(rows, date(2026, 11, 19)).balance_minor == 0
    statement = statement_of(rows, NOV_1, NOV_30)
    assert [line.entry.what for line in statement.lines] == [AccountKind.PAPER, AccountKind.MONEY, AccountKind.BACK]
    assert [line.balance_minor for line in statement.lines] == [82_616, 0, 82_616]
    assert statement.end.papers[0].days_late(NOV_30) == 26


def test_debt_written_off_leaves_the_balance_and_comes_back_when_money_comes_after_all() -> None:
    day = date(2026, 11, 10)
    gone = money(5, day, 1_240, kind="written_off", is_own=False)
    paid, later = money(6, date(2026, 11, 25), 1_240), date(2026, 11, 25)
    back = money(7, later, -1_240, kind="recovered", reverses_id=5)
    sets = [
        against(gone, 3, 1_240),
        SetRow(gone, (3, 1), later, back.at, -1_240, True, ("invoice", 3)),
        against(paid, 3, 1_240),
    ]
    rows = AccountRows([share(3, NOV_1, NOV_1, 1_240)], [gone, paid, back], sets)
    statement = statement_of(rows, NOV_1, NOV_30)
    told = [(line.entry.what, line.entry.amount_minor, line.entry.is_recovered) for line in statement.lines]
    assert sorted(told) == [
        (AccountKind.DIFFERENCE, -1_240, False),
        (AccountKind.DIFFERENCE, 1_240, True),
        (AccountKind.MONEY, -1_240, False),
        (AccountKind.PAPER, 1_240, False),
    ]
    assert standing_on(rows, day).balance_minor == statement.closing_minor == 0


@pytest.mark.parametrize(
    ("is_own", "is_mine", "what", "amount"),
    [(True, False, AccountKind.FOR_OTHER, 500), (False, True, AccountKind.BY_OTHER, -500)],
)
def test_money_that_pays_for_another_stands_in_both_accounts(
    is_own: bool, is_mine: bool, what: AccountKind, amount: int
) -> None:
    paid = money(1, NOV_1, 500, is_own=is_own)
    shares = [share(2, NOV_1, NOV_1, 500)] if is_mine else []
    rows = AccountRows(shares, [paid], [against(paid, 2, 500, is_mine=is_mine)])
    statement = statement_of(rows, NOV_1, NOV_30)
    assert (what, amount) in [(line.entry.what, line.entry.amount_minor) for line in statement.lines]
    assert statement.closing_minor == statement.end.balance_minor == 0


def test_a_security_is_held_and_no_part_of_the_balance() -> None:
    held = money(1, NOV_1, 20_000, kind="security", is_own=False, is_held=True)
    end = standing_on(AccountRows([], [held], []), NOV_30)
    assert (end.balance_minor, end.security_minor, end.credits) == (0, 20_000, ())
