"""Debt that is written off: how much tax lies in it, and from which day that tax may be claimable."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.trade.billing.payers import TAX
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.days import month_bounds, month_of, month_shifted


@dataclass(frozen=True, slots=True)
class DebtTax:
    """The tax in a debt, and the first day on which it may be claimable; None where the country names none."""

    tax_minor: int
    from_on: date | None


def tax_in_debt(debt_minor: int, payer: int, rows: Sequence[tuple[str, int]], gross_minor: int, tax_minor: int) -> int:
    """The tax in what one payer still owes of an invoice, in proportion.

    `rows` are the words and the share of each payer, `payer` the place of this one. Where one payer bears the tax by
    itself, no other's debt holds any. Of 1,200.00 with 200.00 tax, 300.00 paid: in 900.00 it is 150.00.
    """
    bears = [TAX in words.split(", ") for words, _ in rows]
    if any(bears) and not bears[payer]:
        return 0
    whole = rows[payer][1] if any(bears) else gross_minor
    return divide_half_away(debt_minor * tax_minor, whole) if whole > 0 else 0


def claimable_from(due_on: date, supply_on: date, months: int) -> date | None:
    """So many months after the later of due day and supply; None for a country without such a time.

    In the UK six months (VAT Act 1994 s. 36; VAT Notice 700/18, from memory): due Apr 9, from Oct 9.
    """
    if not months:
        return None
    later = max(due_on, supply_on)
    _, last = month_bounds(month_shifted(month_of(later), months))
    return last.replace(day=min(later.day, last.day))
