"""Half away from zero against published rows and the decimal module that ships with Python."""

import random
import sysconfig
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from shopbook.trade.billing import BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.measures.amounts import divide_half_away


@pytest.mark.parametrize(
    ("numerator", "denominator", "printed"),
    [
        (9, 10, 1),  # quax012
        (1, 10, 0),  # quax006
        (-5, 10, -1),  # quax038
        (-9, 10, -1),  # quax032
        (217, 10, 22),  # quax062 and quax073: 2.17 to one place is 2.2, 217 to tens is 220
        (12345, 100, 123),  # quax093: 1.2345 to two places is 1.23
        (123454, 10, 12345),  # CICC data book 2.05, number rounding type 1
        (123455, 10, 12346),
    ],
)
def test_printed_rows_of_half_up_rounding_are_met(numerator: int, denominator: int, printed: int) -> None:
    """General Decimal Arithmetic, quantize.decTest, and the CICC data book as named beside each row."""
    assert divide_half_away(numerator, denominator) == printed


def _half_up_rows() -> list[tuple[str, Decimal, Decimal, Decimal]]:
    path = Path(sysconfig.get_path("stdlib")) / "test" / "decimaltestdata" / "quantize.decTest"
    rows, is_half_up = [], False
    for line in path.read_text(encoding="utf-8").splitlines() if path.exists() else []:
        words = line.split("--")[0].replace("'", "").split()
        if words[:1] == ["rounding:"]:
            is_half_up = words[1] == "half_up"
        if not is_half_up or len(words) < 6 or (words[1], words[4]) != ("quantize", "->"):
            continue
        try:
            given, step, result = (Decimal(words[place]) for place in (2, 3, 5))
        except ArithmeticError:
            continue
        if all(number.is_finite() and abs(number.adjusted()) < 40 for number in (given, step, result)):
            rows.append((words[0], given, step, result))
    return rows


def test_every_half_up_row_of_the_general_decimal_arithmetic_suite_is_met() -> None:
    """quantize.decTest as shipped with CPython; the unit is the power of ten of the second operand."""
    rows = _half_up_rows()
    if not rows:
        pytest.skip("this Python was packed without its decimal test data")
    for name, given, step, result in rows:
        unit = Decimal(1).scaleb(int(step.as_tuple().exponent))
        top, bottom = (given / unit).as_integer_ratio()
        assert divide_half_away(top, bottom) == int(result / unit), name
    assert len(rows) > 100


def test_ten_thousand_divisions_agree_with_the_decimal_module() -> None:
    """The decimal module of CPython, which implements the General Decimal Arithmetic."""
    dice = random.Random(16931)
    for _ in range(10_000):
        top, places = dice.randrange(-(10**12), 10**12), dice.randrange(1, 6)
        whole = Decimal(top).scaleb(-places).quantize(Decimal(1), ROUND_HALF_UP)
        assert divide_half_away(top, 10**places) == int(whole)


@pytest.mark.parametrize(("net", "rate", "tax"), [(100, 12500, 13), (100, 12400, 12), (70, 5000, 4)])
def test_sales_tax_at_the_third_decimal_goes_up_above_four(net: int, rate: int, tax: int) -> None:
    """Streamlined Sales and Use Tax Agreement, section 324 (R.I. Gen. Laws 44-18.1-25): 0.125 is 0.13, 0.124 is 0.12.

    The last row is 0.70 at 5 percent, 0.74 with tax where binary floats give 0.73 (decimal tutorial of CPython).
    """
    bill = make_bill([BillLine(LineKind.PART, "clip", net, "ST")], [TaxRate("ST", "sales tax", rate)])
    assert bill.tax_minor == tax


def test_state_and_local_sales_tax_are_added_before_they_are_rounded() -> None:
    """Streamlined agreement, section 324: the rule applies to the rates added together.

    Texas: 6.25 state and 2 local are 8.25 percent; on 0.60 that is 0.0495, so 0.05 (apart: 0.04 and 0.01).
    """
    bill = make_bill([BillLine(LineKind.PART, "clip", 60, "TX")], [TaxRate("TX", "state and local", 8250)])
    assert bill.tax_minor == 5
