"""Which kind of tax each line of a bill falls under: the one place where that is decided.

A kind of line falls under the kind of tax that names it. Two things are only known once the whole bill is there:

- **Once a part or paint stays on.** Some states tax labor only on a bill that carries a part, paint or another material
  which stays on the car; a bill of labor alone, such as dents taken out without paint, carries none. One job at 8 %,
  labor 638.80 and paint 325.15: tax on 963.95, 77.12. The labor alone: 0.00.
- **Labor not priced apart.** Where a state taxes a price that does not name its labor, everything on a bill that has
  anything taxed on it is taxed: the same job, paint taxed and labor not, is 26.01 priced apart and 77.12 in one price.

Both come down to kinds of line that are taxed where goods stand on the bill (`TaxRate.kinds_with_goods`). A line that
was written before the shop set its tax has no kind of tax (an empty code) and takes the one of its kind of line.

A customer with a certificate is charged none (`billing/exempt.py`): where its kind of tax is among the rates, every
line falls under it; where it is not any more, each line falls by its kind again.
"""

from collections.abc import Sequence
from dataclasses import replace

from shopbook.trade.billing.lines import EXEMPT, GOODS, BillLine, LineKind, TaxKind, TaxRate

NOT_SET = TaxRate("", "Before tax", 0, TaxKind.OUTSIDE)
"""What lines stand under until the shop has set its tax: nothing is charged, and a sum is said as "plus tax"."""


def fall_under(lines: Sequence[BillLine], rates: Sequence[TaxRate]) -> list[BillLine]:
    """The lines of one bill, each with its kind of tax; one that no kind of tax names keeps an empty code."""
    for rate in rates:
        if rate.code.startswith(EXEMPT):
            return [replace(line, tax_code=rate.code) for line in lines]
    placed = _by_kind(lines, rates)
    if not any(line.kind in GOODS and line.amount_minor > 0 for line in placed):
        return placed
    moved = {kind: rate.code for rate in by_rate(rates) for kind in rate.kinds_with_goods}
    return _move_discounts(placed, [_under(line, moved.get(line.kind, line.tax_code)) for line in placed])


def _move_discounts(before: Sequence[BillLine], lines: Sequence[BillLine]) -> list[BillLine]:
    """A discount goes with the lines that it comes off: where all those moved to another kind of tax, so does it."""
    went = {
        old.tax_code: new.tax_code for old, new in zip(before, lines, strict=True) if new.kind is not LineKind.DISCOUNT
    }
    for line in lines:
        if line.kind is not LineKind.DISCOUNT:
            went[line.tax_code] = line.tax_code
    return [
        _under(line, went.get(line.tax_code, line.tax_code)) if line.kind is LineKind.DISCOUNT else line
        for line in lines
    ]


def _by_kind(lines: Sequence[BillLine], rates: Sequence[TaxRate]) -> list[BillLine]:
    """Each line under the tax that its kind falls under by itself; one that has a tax already keeps it."""
    codes = {kind: rate.code for rate in by_rate(rates) for kind in rate.line_kinds}
    return [
        _under(line, codes.get(line.kind, "")) if not line.tax_code or line.tax_code.startswith(EXEMPT) else line
        for line in lines
    ]


def _under(line: BillLine, code: str) -> BillLine:
    return line if line.tax_code == code else replace(line, tax_code=code)


def by_rate(rates: Sequence[TaxRate]) -> list[TaxRate]:
    """Lowest first, so that of two kinds of tax that name one kind of line the one that charges more counts."""
    return sorted(rates, key=lambda rate: rate.rate_thousandths)
