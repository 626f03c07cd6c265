"""Under which kind of tax a line falls, and what a bill's further panels save, said once."""

from shopbook.trade.billing import BillLine, LineKind, TaxKind, TaxRate, make_bill
from shopbook.trade.billing.deposits import deduct_deposits
from shopbook.trade.billing.falls import fall_under

NONE = TaxRate("none", "no tax", 0, TaxKind.ZERO, line_kinds=frozenset({LineKind.LABOUR}))
SALES = TaxRate(
    "P",
    "sales tax",
    8_000,
    line_kinds=frozenset({LineKind.PART}),
    kinds_with_goods=frozenset({LineKind.LABOUR}),
)


def test_labour_is_taxed_with_the_goods_as_soon_as_any_are_sold_for_anything() -> None:
    """A part at 0.01 draws the labour under its tax; a part given for nothing does not."""
    labour = BillLine(LineKind.LABOUR, "work", 10_000, "")
    for price, code in ((1, "P"), (0, "none")):
        found = fall_under([labour, BillLine(LineKind.PART, "clip", price, "")], [NONE, SALES])
        assert [line.tax_code for line in found] == [code, "P"]


def test_a_saving_spread_over_two_kinds_of_tax_is_said_as_one() -> None:
    lines = [
        BillLine(LineKind.LABOUR, "work", 50_000, "none"),
        BillLine(LineKind.PART, "part", 50_000, "P"),
        BillLine(LineKind.SAVING, "second panel", -10_000, "none", key=7),
        BillLine(LineKind.SAVING, "second panel", -5_600, "P", key=7),
    ]
    assert [line.amount_minor for line in make_bill(lines, [NONE, SALES]).savings] == [-15_600]


def test_a_deposit_under_a_kind_of_tax_that_the_bill_lacks_goes_back_whole() -> None:
    bill = make_bill([BillLine(LineKind.LABOUR, "work", 5_000, "none")], [NONE, SALES])
    deposit = make_bill([BillLine(LineKind.DEPOSIT, "Deposit", 10_800, "P")], [SALES], includes_tax=True)
    final = deduct_deposits(bill, [deposit])
    assert [(row.basis_minor, row.tax_minor) for row in final.to_credit] == [(10_000, 800)]
    assert [(row.basis_minor, row.tax_minor) for row in final.rest] == [(5_000, 0)]
