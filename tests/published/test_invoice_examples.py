"""Printed example invoices: every basis, tax and total as the published documents have them.

Sources: CEN, ConnectingEurope/eInvoicing-EN16931, ubl/examples and cii/examples; Peppol BIS Billing 3,
OpenPEPPOL/peppol-bis-invoice-3, rules/examples and rules/national-examples. The rules are BR-CO-10 to BR-CO-17.
"""

from dataclasses import dataclass

import pytest

from shopbook.trade.billing import (
    BillLine,
    LineKind,
    TaxKind,
    TaxRate,
    cash_rounding,
    due_minor,
    extend_price,
    make_bill,
)


@dataclass(frozen=True)
class Printed:
    """One document: (amount, rate) lines, whole-bill sums, and what it prints (amounts as minor units)."""

    lines: tuple[tuple[int, str], ...]
    bases: dict[str, int]
    taxes: dict[str, int]
    net: int
    gross: int
    due: int
    whole: tuple[tuple[int, str], ...] = ()
    prepaid: int = 0
    rounding: int = 0
    lines_total: int | None = None


def rate_called(code: str) -> TaxRate:
    """ "25" is 25 percent; "E" is exempt."""
    return TaxRate(code, code, int(code) * 1000) if code != "E" else TaxRate(code, "exempt", 0, TaxKind.EXEMPT)


SIX = (1990, 985, 829, 1446, 3500, 3500, 1065, 155, 1437, 829, 1658, 995, 330, 390, 10212, -10998)
EXAMPLES = {
    "CEN ubl-tc434-example1": Printed(
        lines=(*((amount, "6") for amount in SIX), (1080, "21"), (760, "21"), (934, "21"), (1863, "21")),
        bases={"6": 18323, "21": 4637},
        taxes={"6": 1099, "21": 974},
        net=22960,
        gross=25033,
        due=25033,
    ),
    "CEN ubl-tc434-example2": Printed(
        lines=((127300, "25"), (-396, "15"), (496, "15"), (-2500, "E"), (extend_price(250_000, 75), "25")),
        whole=((-10000, "25"), (10000, "25")),
        bases={"25": 146050, "15": 100, "E": -2500},
        taxes={"25": 36513, "15": 15, "E": 0},
        lines_total=143650,
        net=143650,
        gross=180178,
        prepaid=100000,
        due=80178,
    ),
    "Peppol Norwegian-example-1": Printed(
        lines=((127300, "25"), (-396, "15"), (496, "15"), (-2500, "E"), (18750, "25")),
        whole=((-10000, "25"), (10000, "25")),
        bases={"25": 146050, "15": 100, "E": -2500},
        taxes={"25": 36513, "15": 15, "E": 0},
        net=143650,
        gross=180178,
        prepaid=100000,
        rounding=22,
        due=80200,
    ),
    "CEN ubl-tc434-example3": Printed(
        lines=((80000, "25"), (80000, "10")),
        whole=((10000, "25"),),
        bases={"25": 90000, "10": 80000},
        taxes={"25": 22500, "10": 8000},
        lines_total=160000,
        net=170000,
        gross=200500,
        due=200500,
    ),
    "CEN ubl-tc434-example8": Printed(
        lines=tuple(
            (amount, "21")
            for amount in (
                extend_price(16_000_000, 880, 1_000_000),
                extend_price(16_000_000, 101, 1_000_000),
                extend_price(132_000, 1524, 12_000),
                extend_price(58_000, 153),
                extend_price(1_000, 44100, 12_000),
                extend_price(1_000, 67800, 12_000),
                8334,
                19031,
                6421,
                6446,
            )
        ),
        bases={"21": 90891},
        taxes={"21": 19087},
        net=90891,
        gross=109978,
        due=109978,
    ),
    "CEN sample-discount-price": Printed(
        lines=((extend_price(100_000, 1212, 100_000), "25"),),
        bases={"25": 1212},
        taxes={"25": 303},
        net=1212,
        gross=1515,
        due=1515,
    ),
    "Peppol Allowance-example": Printed(
        lines=((410000 + 100 - 10100, "25"), (extend_price(10_000, 20000, 2_000), "E"), (100000 + 100 - 10100, "25")),
        whole=((20000, "25"), (-20000, "25")),
        bases={"25": 490000, "E": 100000},
        taxes={"25": 122500, "E": 0},
        lines_total=590000,
        net=590000,
        gross=712500,
        prepaid=100000,
        due=612500,
    ),
    "Peppol base-example": Printed(
        lines=((extend_price(7_000, 40000), "25"), (extend_price(-3_000, 50000), "25")),
        whole=((2500, "25"),),
        bases={"25": 132500},
        taxes={"25": 33125},
        lines_total=130000,
        net=132500,
        gross=165625,
        due=165625,
    ),
    "Peppol base-negative-inv-correction": Printed(
        lines=((-280000, "25"), (150000, "25")),
        whole=((-2500, "25"),),
        bases={"25": -132500},
        taxes={"25": -33125},
        lines_total=-130000,
        net=-132500,
        gross=-165625,
        due=-165625,
    ),
    "CEN split-payment sample": Printed(
        lines=((extend_price(20_000, 6230), "22"),),
        bases={"22": 124600},
        taxes={"22": 27412},
        net=124600,
        gross=152012,
        prepaid=27412,
        due=124600,
    ),
    "CEN CII_business_example_02": Printed(
        lines=tuple((extend_price(1_000, price, 100_000), "19") for price in (12605, 12605, 74790)),
        bases={"19": 1000},
        taxes={"19": 190},
        net=1000,
        gross=1190,
        due=1190,
    ),
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_printed_example_invoice_comes_out_to_the_cent(name: str) -> None:
    """CEN and Peppol, each document by its file name in the repositories that the head of this module names."""
    printed = EXAMPLES[name]
    lines = [BillLine(LineKind.PART, "line", amount, code) for amount, code in printed.lines]
    lines += [BillLine(LineKind.FEE, "whole", amount, code, is_whole_bill=True) for amount, code in printed.whole]
    bill = make_bill(lines, [rate_called(code) for code in printed.bases])
    assert {row.rate.code: row.basis_minor for row in bill.taxes} == printed.bases
    assert {row.rate.code: row.tax_minor for row in bill.taxes} == printed.taxes
    assert (bill.net_minor, bill.tax_minor, bill.gross_minor) == (
        printed.net,
        sum(printed.taxes.values()),
        printed.gross,
    )
    assert bill.lines_minor - bill.allowances_minor + bill.charges_minor == printed.net
    assert printed.lines_total is None or bill.lines_minor == printed.lines_total
    assert due_minor(bill.gross_minor, printed.prepaid, printed.rounding) == printed.due


def test_the_printed_rounding_amount_makes_999_81_payable_as_1000() -> None:
    """Peppol BIS Billing 3, totals page: rounding amount 0.19."""
    assert cash_rounding(99981, 100) == 19
    assert due_minor(99981, 0, 19) == 100000


def test_cash_goes_to_the_nearest_five_where_the_standard_locale_data_says_so() -> None:
    """CLDR 48 currencyData: CHF and CAD have cashRounding 5."""
    assert [cash_rounding(due) for due in (1000, 1001, 1002, 1003, 1004, 1005)] == [0, -1, -2, 2, 1, 0]
