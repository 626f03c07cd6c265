"""A corrected invoice in figures: the right prices at the first one's rates, and what each payer pays of it.

Whatever a person did not touch stays to the minor unit: a kind of tax whose lines did not change keeps its tax, and
where nothing changed the corrected invoice comes to the same sums as the first one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from shopbook.trade.billing import Bill, BillLine, LineKind, TaxTotal, make_bill
from shopbook.trade.billing.lines import WHOLE_RATE
from shopbook.trade.billing.payers import REST, TAX, share_credit
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away

TAKEN_OFF = frozenset({LineKind.SAVING, LineKind.DISCOUNT})
"""Lines that are typed with a minus; every other is zero or more."""


def before_deposits(lines: Sequence[BillLine], rests: Sequence[TaxTotal], deposits: Sequence[TaxTotal]) -> Bill:
    """What stands of an issued invoice as a bill of its own, its deposits not taken off.

    `lines` hold what credit notes left of each line, `rests` what they left of each kind of tax, `deposits` what the
    deposit invoices hold of it. A credited part never lies in a deposit: it comes off the largest line of its kind.
    """
    work = [line for line in lines if line.kind is not LineKind.DEPOSIT]
    taxes = [sum((row for row in deposits if row.rate.code == rest.rate.code), rest) for rest in rests]
    for total in taxes:
        own = places_of(work, total)
        gap = total.basis_minor - sum(work[place].net_minor for place in own)
        if gap and own:
            largest = max(own, key=lambda place: (work[place].net_minor, -place))
            work[largest] = _at(work[largest], work[largest].net_minor + gap)
    return Bill(tuple(work), tuple(taxes))


def places_of(lines: Sequence[BillLine], total: TaxTotal) -> list[int]:
    """The places of the lines under one kind of tax."""
    return [place for place, line in enumerate(lines) if line.tax_code == total.rate.code]


def _at(line: BillLine, net_minor: int) -> BillLine:
    return replace(line, amount_minor=net_minor, net_minor=net_minor)


def amounts_shown(bill: Bill, *, includes_tax: bool) -> list[int]:
    """The amount of each line as a person is shown it: without tax, or with it, then summing to each kind's gross."""
    if not includes_tax:
        return [line.net_minor for line in bill.lines]
    shown = [0] * len(bill.lines)
    for total in bill.taxes:
        own = places_of(bill.lines, total)
        for place in own:
            net = bill.lines[place].net_minor
            shown[place] = net + divide_half_away(net * total.rate.rate_thousandths, WHOLE_RATE)
        if own:
            # What rounding leaves over stands on the largest line, so that the lines make up the total.
            largest = max(own, key=lambda place: (shown[place], -place))
            shown[largest] += total.gross_minor - sum(shown[place] for place in own)
    return shown


def correct_bill(bill: Bill, typed: Mapping[int, int], *, includes_tax: bool = False) -> Bill:
    """The bill with the amounts typed by place, every line in its place at its rate; one at zero is not printed.

    209.00 and 61.40 + 8 % = 275.31, the door at 189.00: 255.31. RuleBroken for a price below zero, a saving above it,
    or a bill that comes to nothing or less.
    """
    shown = amounts_shown(bill, includes_tax=includes_tax)
    amounts = [typed.get(place, amount) for place, amount in enumerate(shown)]
    for place, line in enumerate(bill.lines):
        _check(line, amounts[place], place)
    lines: dict[int, BillLine] = {}
    taxes: list[TaxTotal] = []
    for total in bill.taxes:
        own = places_of(bill.lines, total)
        if all(amounts[place] == shown[place] for place in own):
            made = Bill(tuple(bill.lines[place] for place in own), (total,))
        else:
            made = _made(bill, own, amounts, total, includes_tax=includes_tax)
        lines |= dict(zip(own, made.lines, strict=True))
        taxes += made.taxes
    return _refuse_nothing(Bill(tuple(lines[place] for place in range(len(bill.lines))), tuple(taxes)))


def _refuse_nothing(bill: Bill) -> Bill:
    if bill.gross_minor <= 0 or any(row.basis_minor < 0 for row in bill.taxes):
        raise RuleBroken("At these prices nothing is left to pay. Credit the invoice instead.", "prices")
    return bill


def _check(line: BillLine, amount_minor: int, place: int) -> None:
    if line.kind in TAKEN_OFF and amount_minor > 0:
        raise RuleBroken("Enter what comes off with a minus, for example -20.", f"amount_{place}")
    if line.kind not in TAKEN_OFF and amount_minor < 0:
        raise RuleBroken("Enter an amount, for example 120 or 120.50.", f"amount_{place}")


def _made(bill: Bill, own: Sequence[int], amounts: Sequence[int], total: TaxTotal, *, includes_tax: bool) -> Bill:
    lines = [replace(bill.lines[place], amount_minor=amounts[place]) for place in own]
    made = make_bill(lines, [total.rate], includes_tax=includes_tax)
    return replace(made, lines=tuple(replace(line, amount_minor=line.net_minor) for line in made.lines))


def share_difference(rows: Sequence[tuple[str, int]], gross_minor: int, tax_minor: int) -> list[int]:
    """What each payer pays once its invoice comes to `gross_minor` more (below zero: less), of it `tax_minor` tax.

    `rows` are the words of each share as issued and what is left of it. An excess or a fixed sum stays: the tax goes to
    whoever pays the tax by itself, all else to whoever pays the rest; less is shared as a credit note is.
    """
    shares = [share for _, share in rows]
    if gross_minor < 0:
        parts = share_credit(-gross_minor, max(0, -tax_minor), rows)
        return [share - part for share, part in zip(shares, parts, strict=True)]
    bears_tax, bears_rest = _bearing(TAX, rows), _bearing(REST, rows)
    own_tax = min(max(0, tax_minor), gross_minor) if bears_tax is not None else 0
    shares[len(rows) - 1 if bears_rest is None else bears_rest] += gross_minor - own_tax
    if bears_tax is not None:
        shares[bears_tax] += own_tax
    return shares


def _bearing(mark: str, rows: Sequence[tuple[str, int]]) -> int | None:
    return next((place for place, (told, _) in enumerate(rows) if mark in told.split(", ")), None)


def keep_paid(share_minor: int, paid: Sequence[int]) -> list[int]:
    """How much of each sum paid, in their order, pays the new share; what is over is given back or kept as credit."""
    kept: list[int] = []
    for amount in paid:
        kept.append(min(amount, share_minor - sum(kept)))
    return kept
