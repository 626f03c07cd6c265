"""What is left for a further invoice: each line once, rounding of tax inside left out of account, the limit kept."""

from dataclasses import replace

import pytest

from shopbook.trade.billing import BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.billing.billable import with_tax
from shopbook.trade.billing.further import Asked, bill_rest, left_to_bill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing import Allowance

VAT = TaxRate("vat", "VAT", 20_000)


def piece(words: str, amount: int, key: int, **given: bool) -> BillLine:
    return BillLine(LineKind.LABOUR, words, amount, "vat", key=key, group_key="car", title="Repair", **given)


def issued(pieces: list[BillLine], *, includes_tax: bool = False) -> list[BillLine]:
    """The lines as an invoice over them keeps them: net, and with their tax, each rounded for itself."""
    bill = make_bill(pieces, [VAT], includes_tax=includes_tax)
    return [replace(row, amount_minor=with_tax(row.net_minor, 20_000)) for row in bill.lines]


def test_equal_lines_are_counted_and_only_the_one_too_many_is_left() -> None:
    clip = piece("Clip", 500, 1)
    left = left_to_bill(Asked((clip, piece("Clip", 500, 2), piece("Wash", 900, 3)), 5000, False), issued([clip]))
    assert [(each.words, each.amount_minor) for each in left] == [("Clip", 500), ("Wash", 900)]


def test_prices_with_tax_inside_leave_no_cent_behind() -> None:
    """33.33 three times with 20 % inside: net 27.78, 27.78 and 27.77 are 33.34, 33.34 and 33.32 with their tax."""
    lines = [piece(f"line {place}", 3333, place + 1) for place in range(3)]
    more = piece("more", 1, 9)
    left = left_to_bill(Asked((*lines, more), 20000, True), issued(lines, includes_tax=True))
    assert [each.words for each in left] == ["more"]


def test_hours_beyond_are_cut_to_what_earlier_invoices_left_of_the_sum() -> None:
    """Agreed 120.00 with tax and 10 % more: 60.00 are invoiced, so that 72.00 with tax are the most."""
    first = piece("Body", 5000, 1)
    over = piece("Hours above", 9000, 2, is_beyond=True, can_be_cut=True)
    found = bill_rest(Asked((first, over), 12000, False), issued([first]), 6000, [VAT], Allowance(permille=100))
    assert found.bill.gross_minor == 7200
    assert found.held == (("Hours above", 3000),)


def test_a_line_that_is_agreed_no_more_is_named() -> None:
    with pytest.raises(RuleBroken, match="“Strip” is invoiced but no longer approved"):
        left_to_bill(Asked((piece("Wash", 900, 1),), 5000, False), issued([piece("Strip", 100, 2)]))


def test_what_is_less_now_is_not_paid_back_by_new_work() -> None:
    asked = Asked((piece("Body", 4000, 1), piece("New", 3000, 2)), 8400, False)
    with pytest.raises(RuleBroken, match="more than was approved"):
        bill_rest(asked, issued([piece("Body", 5000, 1)]), 6000, [VAT])


def test_of_two_lines_of_one_name_the_second_is_billed_later() -> None:
    """Two items titled "Door" with a line "Paint work" each are two lines, whatever they are called."""
    first, second = piece("Paint work", 5000, 1), piece("Paint work", 5000, 2)
    left = left_to_bill(Asked((first, second), 12000, False), issued([second]))
    assert [each.key for each in left] == [1]


def test_a_line_is_known_again_though_its_words_and_title_changed() -> None:
    billed = issued([piece("Paint work", 5000, 1)])
    reworded = replace(piece("Painting, both coats", 5000, 1), title="Door, driver side")
    assert left_to_bill(Asked((reworded, piece("New", 3000, 2)), 9600, False), billed)[0].key == 2


def test_a_discount_over_two_kinds_of_tax_is_used_up_kind_by_kind() -> None:
    """20.00 off under VAT and 10.00 off untaxed under one key: the first invoice took 20.00 and 4.00."""

    def off(amount: int, code: str) -> BillLine:
        return BillLine(LineKind.DISCOUNT, "Discount", amount, code, key=7, is_whole_bill=True, net_minor=amount)

    left = left_to_bill(
        Asked((off(-2000, "vat"), off(-1000, "none")), 9600, False), [off(-400, "none"), off(-2000, "vat")]
    )
    assert [(each.tax_code, each.amount_minor) for each in left] == [("none", -600)]


def test_what_was_issued_before_lines_had_keys_is_matched_by_a_person_first() -> None:
    with pytest.raises(RuleBroken, match="earlier invoice"):
        left_to_bill(Asked((piece("Wash", 900, 1),), 5000, False), issued([piece("Wash", 900, 0)]))


def test_a_further_invoice_may_pass_what_was_agreed_by_a_unit_for_each_line_and_no_more() -> None:
    """Two lines of 8.33 with 20 %: 10.00 invoiced first, the second comes to 10.00 again. Agreed 19.98 lets both
    pass, one unit a line; agreed 19.97 does not."""
    lines = (piece("Body", 833, 1), piece("Paint", 833, 2))
    billed = issued([lines[0]])
    assert bill_rest(Asked(lines, 1998, False), billed, 1000, [VAT]).bill.gross_minor == 1000
    with pytest.raises(RuleBroken, match="more than was approved"):
        bill_rest(Asked(lines, 1997, False), billed, 1000, [VAT])


def test_without_tax_inside_every_cent_that_is_left_is_billed() -> None:
    """Only prices that hold their tax leave rounding behind: 50.01 asked and 50.00 invoiced leave 0.01."""
    asked = Asked((piece("Body", 5001, 1),), 6001, False)
    assert [each.amount_minor for each in left_to_bill(asked, issued([piece("Body", 5000, 1)]))] == [1]


def test_with_tax_inside_a_unit_for_each_issued_line_is_rounding_and_two_are_work() -> None:
    """60.00 with 20 % inside invoiced as one line: 60.01 leave nothing, 60.02 leave 0.02 of work."""
    billed = issued([piece("Body", 6000, 1)], includes_tax=True)
    assert left_to_bill(Asked((piece("Body", 6001, 1),), 6001, True), billed) == ()
    left = left_to_bill(Asked((piece("Body", 6002, 1),), 6002, True), billed)
    assert [each.amount_minor for each in left] == [2]


def test_what_was_invoiced_under_one_kind_of_tax_takes_nothing_off_another_kind() -> None:
    """10.00 under VAT and 10.00 untaxed under one key: 4.00 invoiced under VAT leave 6.00 and 10.00, to the unit."""
    taxed, plain = piece("Body", 1000, 7), replace(piece("Body", 1000, 7), tax_code="none")
    left = left_to_bill(Asked((taxed, plain), 2200, False), [replace(taxed, amount_minor=480, net_minor=400)])
    assert [(each.tax_code, each.amount_minor) for each in left] == [("vat", 600), ("none", 1000)]


def test_what_was_invoiced_too_much_takes_nothing_off_a_line_below_zero() -> None:
    """10.00 under VAT and −3.00 untaxed under one key: of 12.00 invoiced 2.00 are too much, and −3.00 stays."""
    taxed, off = piece("Body", 1000, 7), replace(piece("Body", -300, 7), tax_code="none")
    left = left_to_bill(Asked((taxed, off), 900, False), [replace(taxed, amount_minor=1440, net_minor=1200)])
    assert [(each.tax_code, each.amount_minor) for each in left] == [("none", -300)]
