"""What is left for a further invoice: each line once, rounding of tax inside left out of account, the limit kept."""

import pytest

from shopbook.trade.billable import Piece
from shopbook.trade.billing import BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.further import Asked, IssuedLine, bill_rest, left_to_bill
from shopbook.trade.pricing import Allowance

VAT = TaxRate("vat", "VAT", 20_000)


def piece(words: str, amount: int, **given: bool) -> Piece:
    return Piece("car", "Repair", BillLine(LineKind.LABOUR, words, amount, "vat"), **given)


def issued(pieces: list[Piece], *, includes_tax: bool = False) -> list[IssuedLine]:
    """The lines as an invoice over them keeps them: net."""
    bill = make_bill([each.line for each in pieces], [VAT], includes_tax=includes_tax)
    return [
        IssuedLine("Repair", BillLine(row.line.kind, row.line.words, row.net_minor, "vat"), 20_000)
        for row in bill.lines
    ]


def test_equal_lines_are_counted_and_only_the_one_too_many_is_left() -> None:
    clip = piece("Clip", 500)
    left = left_to_bill(Asked((clip, piece("Clip", 500), piece("Wash", 900)), 5000, False), issued([clip]))
    assert [(each.line.words, each.line.amount_minor) for each in left] == [("Clip", 500), ("Wash", 900)]


def test_prices_with_tax_inside_leave_no_cent_behind() -> None:
    """33.33 three times with 20 % inside: net 27.78, 27.78 and 27.77 are 33.34, 33.34 and 33.32 with their tax."""
    lines = [piece(f"line {place}", 3333) for place in range(3)]
    more = piece("more", 1)
    left = left_to_bill(Asked((*lines, more), 20000, True), issued(lines, includes_tax=True))
    assert [each.line.words for each in left] == ["more"]


def test_hours_beyond_are_cut_to_what_earlier_invoices_left_of_the_sum() -> None:
    """Agreed 120.00 with tax and 10 % more: 60.00 are invoiced, so that 72.00 with tax are the most."""
    first = piece("Body", 5000)
    over = piece("Hours beyond", 9000, is_beyond=True, can_be_cut=True)
    found = bill_rest(Asked((first, over), 12000, False), issued([first]), 6000, [VAT], Allowance(permille=100))
    assert found.bill.gross_minor == 7200
    assert found.held == (("Hours beyond", 3000),)


def test_a_line_that_is_agreed_no_more_is_named() -> None:
    with pytest.raises(RuleBroken, match="“Strip” is invoiced and not agreed any more"):
        left_to_bill(Asked((piece("Wash", 900),), 5000, False), issued([piece("Strip", 100)]))


def test_what_is_less_now_is_not_paid_back_by_new_work() -> None:
    asked = Asked((piece("Body", 4000), piece("New", 3000)), 8400, False)
    with pytest.raises(RuleBroken, match="passes what was agreed"):
        bill_rest(asked, issued([piece("Body", 5000)]), 6000, [VAT])
