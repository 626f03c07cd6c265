"""Prices from the shop's own list, rounded to a sensible step, with tax beside them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.billing import Bill, BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away, share_out
from shopbook.trade.pricing.lines import tax_words

LIST_STEP_MINOR = 1
"""The step that the shop's list is rounded to: a minor unit."""


def whose_figure(*, is_own: bool) -> str:
    """Whose figure a list price is: only what the shop set itself is its list, all else is called our guess."""
    return "your list" if is_own else "our guess"


class ListFigures(StrEnum):
    """What becomes of the list's figures where prices begin or cease to hold the tax."""

    STAY = "stay"
    """They stay as typed and mean the other thing from that day."""
    CONVERT = "convert"
    """Each is converted once, so that what a customer pays stays the same."""


def price_from_hours(hour_tenths: int, door_rate_minor: int, step_minor: int = 1) -> int:
    """A list price from tenths of a door-rate hour, at least one step: the first guess of a shop without a list."""
    if door_rate_minor <= 0:
        raise RuleBroken("Enter your hourly rate, above zero.", "door_rate")
    exact = divide_half_away(hour_tenths * door_rate_minor, 10)
    return max(round_to_step(exact, step_minor), step_minor) if hour_tenths else 0


def round_to_step(minor: int, step_minor: int) -> int:
    """The nearest multiple of `step_minor`, half away from zero, since a price is said in round sums; a step of 1
    changes nothing."""
    if step_minor <= 0:
        raise RuleBroken("Enter a rounding step above zero.", "step")
    return divide_half_away(minor, step_minor) * step_minor


def raised(minor: int, by_permille: int, step_minor: int) -> int:
    """A price raised by so many thousandths and rounded to the shop's step: 137.00 + 5 % at 5.00 is 145.00 (143.85)."""
    return round_to_step(divide_half_away(minor * (1000 + by_permille), 1000), step_minor)


def bill_from_price(
    price_minor: int,
    shares_permille: Mapping[LineKind, int],
    tax_codes: Mapping[LineKind, str],
    rates: Sequence[TaxRate],
    *,
    includes_tax: bool = False,
    words: str = "Repair",
) -> Bill:
    """One price as a bill, so that both figures (with and without tax) can be told at the car.

    `shares_permille` says how the price falls on kinds of line, for places that tax parts but not labour.
    """
    if not shares_permille or min(shares_permille.values()) < 0:
        raise RuleBroken("Choose what the price is for.", "kinds")
    missing = [tax_words(kind) for kind in shares_permille if kind not in tax_codes]
    if missing:
        raise RuleBroken(f"Choose the tax for {missing[0]} in Settings.", "tax_code")
    amounts = share_out(price_minor, list(shares_permille.values()))
    lines = [
        BillLine(kind, words, amount, tax_codes[kind])
        for kind, amount in zip(shares_permille, amounts, strict=True)
        if amount
    ]
    return make_bill(lines, rates, includes_tax=includes_tax)


@dataclass(frozen=True, slots=True)
class TaxSwitch:
    """Converts the list's figures to hold the tax (`to_inside`) or to be without it, at the rates of one day."""

    tax_codes: Mapping[LineKind, str]
    rates: Sequence[TaxRate]
    to_inside: bool

    def of(self, minor: int, shares_permille: Mapping[LineKind, int]) -> int:
        """One figure converted and rounded to the list's step: 950.00 with 20 % inside is 791.67 without, and back."""
        bill = bill_from_price(minor, shares_permille, self.tax_codes, self.rates, includes_tax=not self.to_inside)
        return round_to_step(bill.gross_minor if self.to_inside else bill.net_minor, LIST_STEP_MINOR)
