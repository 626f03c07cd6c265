"""A further invoice: what of the agreed work no issued invoice holds, checked over all invoices together."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shopbook.trade.amounts import divide_half_away
from shopbook.trade.billable import Billable, Piece, bill_within
from shopbook.trade.billing import BillLine, TaxRate
from shopbook.trade.billing.lines import WHOLE_RATE
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing import Allowance

_Key = tuple[str, str, str, str]


@dataclass(frozen=True, slots=True)
class IssuedLine:
    """A line of an invoice that stands: the title of its group, the line with its net, and its rate as issued."""

    title: str
    line: BillLine
    rate_thousandths: int

    @property
    def with_tax_minor(self) -> int:
        """The net with its tax, rounded for itself."""
        net = self.line.amount_minor
        return net + divide_half_away(net * self.rate_thousandths, WHOLE_RATE)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a job asks for in all, discounts among its lines, and what was agreed for it with tax."""

    pieces: tuple[Piece, ...]
    agreed_minor: int
    includes_tax: bool


def bill_rest(
    asked: Asked,
    issued: Sequence[IssuedLine],
    issued_minor: int,
    rates: Sequence[TaxRate],
    allowance: Allowance | None = None,
) -> Billable:
    """The bill over what no issued line holds; `issued_minor` is what those lines came to with tax.

    Together with them it stays within the agreed sum and the allowance, a unit of rounding for each line left out of
    account: each invoice rounds its tax for itself. Nothing issued: the whole bill. RuleBroken where something was
    invoiced that is not agreed any more, or where all together would pass what was agreed.
    """
    found = bill_within(
        left_to_bill(asked, issued),
        asked.agreed_minor,
        rates,
        includes_tax=asked.includes_tax,
        allowance=allowance,
        already_minor=issued_minor,
    )
    limit = asked.agreed_minor + (allowance or Allowance()).of(asked.agreed_minor)
    rounding = len(issued) + len(found.bill.lines)
    if issued and found.bill.lines and issued_minor + found.bill.gross_minor > limit + rounding:
        raise RuleBroken(
            "With what is invoiced already this passes what was agreed: credit the invoice and write it anew."
        )
    return found


def left_to_bill(asked: Asked, issued: Sequence[IssuedLine]) -> tuple[Piece, ...]:
    """The lines less what was invoiced of each, those invoiced in full left out.

    A line is known again by title, kind, words and kind of tax. Where prices hold the tax, what was issued is read
    with its tax again, and a difference of no more than a unit for each issued line is rounding, not work.
    """
    done: dict[_Key, int] = defaultdict(int)
    for row in issued:
        done[_key(row.title, row.line)] += row.with_tax_minor if asked.includes_tax else row.line.amount_minor
    rounding = len(issued) if asked.includes_tax else 0
    by_key: dict[_Key, list[Piece]] = defaultdict(list)
    for piece in asked.pieces:
        by_key[_key(piece.title, piece.line)].append(piece)
    left = {id(piece): amount for key, own in by_key.items() for piece, amount in _take(own, done, key, rounding)}
    for key, amount in done.items():
        if key not in by_key and amount:
            raise RuleBroken(
                f"“{key[2]}” is invoiced and not agreed any more: credit the invoice and write it anew.", "payers"
            )
    pieces = [replace(each, line=replace(each.line, amount_minor=left[id(each)])) for each in asked.pieces]
    return tuple(piece for piece in pieces if piece.line.amount_minor)


def _key(title: str, line: BillLine) -> _Key:
    return (title, line.kind, line.words, line.tax_code)


def _take(own: Sequence[Piece], done: dict[_Key, int], key: _Key, rounding: int) -> list[tuple[Piece, int]]:
    """Each line of one key with what is left of it; what was invoiced of the key is used up in order."""
    if done[key] and abs(sum(piece.line.amount_minor for piece in own) - done[key]) <= rounding:
        done[key] = 0
        return [(piece, 0) for piece in own]
    rows = []
    for piece in own:
        amount, invoiced = piece.line.amount_minor, done[key]
        taken = min(amount, max(invoiced, 0)) if amount >= 0 else max(amount, min(invoiced, 0))
        done[key] -= taken
        rows.append((piece, amount - taken))
    return rows
