"""Prices from the shop's own list: several panels added up, rounded to a sensible step, with tax beside them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shopbook.trade.amounts import divide_half_away, share_out
from shopbook.trade.billing import Bill, BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.errors import RuleBroken

OWN_SOURCE = "the shop's own"
"""The source of a catalogue entry that the shop has set for itself."""


def whose_figure(*, is_own: bool) -> str:
    """Who a list price is from: only what the shop set itself is its list, all else is our guess and is called so."""
    return "your list" if is_own else "our guess"


@dataclass(frozen=True, slots=True)
class KerbRow:
    """One panel's price from the list, or as typed over it on the spot (then nothing is taken off it)."""

    price_minor: int
    is_painted: bool
    is_typed: bool = False


def price_from_hours(hour_tenths: int, door_rate_minor: int, step_minor: int = 1) -> int:
    """A list price from tenths of a door-rate hour, at least one step: the first guess of a shop without a list."""
    if door_rate_minor <= 0:
        raise RuleBroken("Type what an hour at your shop is sold for, above nought.", "door_rate")
    exact = divide_half_away(hour_tenths * door_rate_minor, 10)
    return max(round_to_step(exact, step_minor), step_minor) if hour_tenths else 0


def round_to_step(minor: int, step_minor: int) -> int:
    """The nearest multiple of `step_minor`, half away from nought; a step of 1 changes nothing."""
    if step_minor <= 0:
        raise RuleBroken("A step of prices is above nought.", "step")
    return divide_half_away(minor, step_minor) * step_minor


def add_up_kerb(
    rows: Sequence[KerbRow], second_panel_permille: int = 600, step_minor: int = 1
) -> tuple[tuple[int, ...], int]:
    """What each row comes to, and the sum: the dearest painted panel in full, each further one at its share.

    Masking, mixing and gun cleaning of one session are paid once; 55 to 65 percent for a panel alongside is common
    practice and the shop's to change. Rows without paint and typed rows stand as they are.
    """
    if not 0 <= second_panel_permille <= 1000:
        raise RuleBroken("A further panel costs between 0 and 100 percent of its price.", "second_panel")
    listed = [(row.price_minor, -at) for at, row in enumerate(rows) if row.is_painted and not row.is_typed]
    dearest = -max(listed)[1] if listed else -1
    amounts = []
    for at, row in enumerate(rows):
        is_further = row.is_painted and not row.is_typed and at != dearest
        share = divide_half_away(row.price_minor * second_panel_permille, 1000)
        amounts.append(round_to_step(share, step_minor) if is_further else row.price_minor)
    return tuple(amounts), sum(amounts)


def bill_from_price(
    price_minor: int,
    shares_permille: Mapping[LineKind, int],
    tax_codes: Mapping[LineKind, str],
    rates: Sequence[TaxRate],
    *,
    includes_tax: bool = False,
    words: str = "Repair",
) -> Bill:
    """One price as a bill, so that both figures (with and without tax) can be said at the kerb.

    `shares_permille` says how the price falls on kinds of line, for places that tax parts but not labour.
    """
    if not shares_permille or min(shares_permille.values()) < 0:
        raise RuleBroken("Say which kinds of line the price is for.", "kinds")
    missing = [kind.value for kind in shares_permille if kind not in tax_codes]
    if missing:
        raise RuleBroken(f"Choose the kind of tax for {missing[0]} in Settings.", "tax_code")
    amounts = share_out(price_minor, list(shares_permille.values()))
    lines = [
        BillLine(kind, words, amount, tax_codes[kind])
        for kind, amount in zip(shares_permille, amounts, strict=True)
        if amount
    ]
    return make_bill(lines, rates, includes_tax=includes_tax)
