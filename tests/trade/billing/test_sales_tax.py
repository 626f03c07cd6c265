"""A shop's answers about sales tax, and what one job is charged by each of them."""

from datetime import date

import pytest

from shopbook.trade.billing import NOT_SET, Bill, BillLine, LineKind, fall_under, make_bill, rate_of
from shopbook.trade.billing.billable import bill_within, judged
from shopbook.trade.billing.sales_tax import GoodsTaxed, LabourTaxed, SalesTaxAnswers, taxes_of
from shopbook.trade.countries import known_countries, known_country
from shopbook.trade.errors import RuleBroken

LABOUR = BillLine(LineKind.LABOUR, "Body and paint", 63880, "")
PAINT = BillLine(LineKind.MATERIALS, "Paint", 32515, "")


def rates(labour: str, goods: str = "to_customer", *, is_apart: bool = True, rate: int = 8000) -> list:  # type: ignore[type-arg]
    answers = SalesTaxAnswers(rate, "Millbrook", LabourTaxed(labour), GoodsTaxed(goods), is_apart)
    return [
        rate_of(tax.code, tax.name, tax.rate_thousandths, tax.line_kinds, tax.kinds_with_goods)
        for tax in taxes_of(answers, date(2026, 11, 30))
    ]


def tax_on(lines: list[BillLine], *answers: str, is_apart: bool = True) -> int:
    return make_bill(lines, rates(*answers, is_apart=is_apart)).tax_minor


@pytest.mark.parametrize(
    ("labour", "goods", "is_apart", "of_job", "of_labour_alone"),
    [
        ("no", "to_customer", True, 2601, 0),
        ("yes", "to_customer", True, 7712, 5110),
        ("no", "when_bought", True, 0, 0),
        ("no", "when_bought", False, 0, 0),
        ("with_goods", "to_customer", True, 7712, 0),
        ("with_goods", "to_customer", False, 7712, 0),
        ("with_goods", "when_bought", True, 5110, 0),
        ("with_goods", "when_bought", False, 7712, 0),
        ("no", "to_customer", False, 7712, 0),
        ("yes", "when_bought", True, 5110, 5110),
        ("yes", "when_bought", False, 7712, 5110),
        ("yes", "to_customer", False, 7712, 5110),
    ],
)
def test_one_job_is_taxed_as_the_shop_answered(
    labour: str, goods: str, is_apart: bool, of_job: int, of_labour_alone: int
) -> None:
    assert tax_on([LABOUR, PAINT], labour, goods, is_apart=is_apart) == of_job
    assert tax_on([LABOUR], labour, goods, is_apart=is_apart) == of_labour_alone


def test_labor_taxed_beside_paint_stands_in_one_row_with_it_and_rounds_once() -> None:
    bill = make_bill([LABOUR, PAINT], rates("with_goods"))
    assert [(row.rate.name, row.basis_minor, row.tax_minor) for row in bill.taxes] == [
        ("Sales tax, Millbrook", 96395, 7712)
    ]


def test_paint_of_nothing_puts_no_tax_on_labor() -> None:
    assert tax_on([LABOUR, BillLine(LineKind.MATERIALS, "Wipes", 0, "")], "with_goods") == 0


def test_a_discount_goes_with_the_labor_that_it_comes_off() -> None:
    off = BillLine(LineKind.DISCOUNT, "Discount", -3880, "none", is_whole_bill=True)
    assert tax_on([LABOUR, off, PAINT], "with_goods") == 7401
    assert tax_on([LABOUR, off, PAINT], "no") == 2601


def test_a_state_without_a_sales_tax_is_a_rate_of_zero_and_nothing_is_taxed() -> None:
    bill = make_bill([LABOUR, PAINT], rates("yes", rate=0))
    assert (bill.gross_minor, [row.rate.name for row in bill.taxes]) == (96395, ["Not taxed"])


def test_a_rate_over_a_hundred_percent_is_refused_beside_its_field() -> None:
    with pytest.raises(RuleBroken) as broken:
        rates("no", rate=100_001)
    assert broken.value.field == "rate"


def test_before_the_shop_has_set_its_tax_a_bill_says_that_it_is_before_tax() -> None:
    bill = make_bill([LABOUR, PAINT], [NOT_SET])
    assert (bill.is_before_tax, bill.net_minor, bill.tax_minor) == (True, 96395, 0)


def test_lines_written_before_the_tax_was_set_take_the_kind_of_tax_of_their_kind() -> None:
    bill = make_bill([LABOUR, PAINT], rates("no"))
    assert (bill.is_before_tax, [row.tax_code for row in bill.lines]) == (False, ["none", "sales"])


def test_a_line_that_carries_its_kind_of_tax_keeps_it_where_no_rule_of_the_whole_bill_moves_it() -> None:
    """Books begun before this rule have lines with a kind of tax, and no kinds that are taxed beside goods."""
    old = [rate_of("sales", "Sales tax", 8000, ["materials"]), rate_of("none", "Not taxed", 0, ["labour"])]
    lines = [BillLine(LineKind.LABOUR, "Work", 100, "sales"), BillLine(LineKind.MATERIALS, "Paint", 100, "none")]
    assert fall_under(lines, old) == lines


def test_a_part_that_nobody_agreed_to_and_that_waits_puts_no_tax_on_labor_agreed_without_one() -> None:
    part = BillLine(LineKind.PART, "Handle", 5000, "", is_beyond=True)
    pieces = judged([LABOUR, part], rates("with_goods"))
    assert [piece.tax_code for piece in pieces] == ["none", "sales"]
    found = bill_within(pieces, 63880, rates("with_goods"))
    assert (found.bill.gross_minor, found.held) == (63880, (("Handle", 5000),))


def test_what_is_invoiced_is_known_again_by_the_kind_of_tax_that_the_whole_job_gave_it() -> None:
    pieces = [LABOUR, PAINT]
    assert [piece.tax_code for piece in judged(pieces, rates("with_goods"))] == ["sales", "sales"]


@pytest.mark.parametrize("country", known_countries(), ids=lambda country: country.code)
def test_every_rate_that_is_shipped_says_where_and_when_it_was_read(country: object) -> None:
    taxes = [*country.usual_taxes, *(each.tax for each in country.provinces)]  # type: ignore[attr-defined]
    assert all(tax.source and tax.read_on for tax in taxes)
    assert all(state.source and state.read_on for state in country.states)  # type: ignore[attr-defined]


def test_no_rate_of_ours_stands_in_for_that_of_a_shop_that_is_asked() -> None:
    assert known_country("us").usual_taxes == known_country("ca").usual_taxes == ()


def price_in(tax: object) -> Bill:
    rate = rate_of(tax.code, tax.name, tax.rate_thousandths, tax.line_kinds)  # type: ignore[attr-defined]
    return make_bill([LABOUR, PAINT], [rate])


def test_an_irish_repair_has_one_rate_for_labour_and_parts() -> None:
    """13.5 % for the repair; 23 % only for accessories, tyres, batteries."""
    repair, goods = known_country("ie").usual_taxes
    assert (repair.rate_thousandths, goods.rate_thousandths, goods.line_kinds) == (13500, 23000, ())
    assert price_in(repair).tax_minor == 13013


@pytest.mark.parametrize(("code", "rate"), [("on", 13000), ("ns", 14000), ("ab", 5000), ("qc", 14975), ("sk", 11000)])
def test_a_province_brings_its_rate(code: str, rate: int) -> None:
    found = {each.code: each.tax for each in known_country("ca").provinces}
    assert (len(found), found[code].rate_thousandths) == (13, rate)
