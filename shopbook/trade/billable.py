"""What of a job may be billed: what was agreed, and what passes it only as far as the shop's allowance goes."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from shopbook.trade.amounts import divide_half_away
from shopbook.trade.billing import Bill, BillLine, TaxRate, fall_under, make_bill
from shopbook.trade.billing.lines import WHOLE_RATE
from shopbook.trade.pricing import Allowance, Beyond, beyond_agreed


@dataclass(frozen=True, slots=True)
class Piece:
    """One line of the work with the group it belongs to; `is_beyond` passes what was agreed.

    Hours `can_be_cut` down to what still fits; a part is billed whole or held whole.
    """

    group_key: str
    title: str
    line: BillLine
    is_beyond: bool = False
    can_be_cut: bool = False


@dataclass(frozen=True, slots=True)
class Billable:
    """What is billed now (`pieces` stand at the places of the bill's lines, discounts after them), and what waits.

    `held` names each thing that waits for a yes with what it comes to, without tax or with it as the lines are.
    """

    bill: Bill
    pieces: tuple[Piece, ...]
    held: tuple[tuple[str, int], ...]
    beyond: Beyond


def bill_within(
    pieces: Sequence[Piece],
    agreed_minor: int,
    rates: Sequence[TaxRate],
    *,
    includes_tax: bool = False,
    discount_minor: int = 0,
    allowance: Allowance | None = None,
    already_minor: int = 0,
) -> Billable:
    """The bill over what was agreed and as much beyond it as `agreed_minor` (with tax) and the allowance let in.

    `already_minor` (with tax) was invoiced before and counts against that limit.

    Pieces that are not beyond are always billed. Raises RuleBroken as `make_bill` does.
    """

    def bill(kept: Sequence[Piece]) -> Bill:
        lines = [piece.line for piece in kept]
        return make_bill(lines, rates, includes_tax=includes_tax, discount_minor=discount_minor)

    asked = already_minor + bill(pieces).gross_minor
    limit = agreed_minor + (allowance or Allowance()).of(agreed_minor)
    kept = [piece for piece in pieces if not piece.is_beyond]
    held: list[tuple[str, int]] = []
    for piece in (each for each in pieces if each.is_beyond):
        fits = _largest_fit(piece, lambda tried: already_minor + bill([*kept, tried]).gross_minor <= limit)
        if fits:
            kept.append(replace(piece, line=replace(piece.line, amount_minor=fits)))
        if fits < piece.line.amount_minor:
            held.append((piece.line.words, piece.line.amount_minor - fits))
    ordered = sorted(kept, key=lambda piece: _place(pieces, piece))
    return Billable(bill(ordered), tuple(ordered), tuple(held), beyond_agreed(agreed_minor, asked, allowance))


def _place(pieces: Sequence[Piece], piece: Piece) -> int:
    return next(at for at, one in enumerate(pieces) if one.title == piece.title and one.line.words == piece.line.words)


def _largest_fit(piece: Piece, fits: Callable[[Piece], bool]) -> int:
    """The largest amount of a piece that fits: all of it, part of it where it can be cut, or nothing."""

    def tried(amount: int) -> bool:
        return fits(replace(piece, line=replace(piece.line, amount_minor=amount)))

    if tried(piece.line.amount_minor):
        return piece.line.amount_minor
    low, high = 0, piece.line.amount_minor if piece.can_be_cut else 0
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if tried(middle) else (low, middle - 1)
    return low


def judged(pieces: Sequence[Piece], rates: Sequence[TaxRate]) -> list[Piece]:
    """The pieces with their kinds of tax: what was agreed is judged by itself, what passes it with all the rest.

    So a part that nobody agreed to and that waits does not put tax on labor that was agreed without one.
    """
    agreed = [piece for piece in pieces if not piece.is_beyond]
    of_agreed = iter(fall_under([piece.line for piece in agreed], rates))
    of_all = fall_under([piece.line for piece in pieces], rates)
    return [
        replace(piece, line=whole if piece.is_beyond else next(of_agreed))
        for piece, whole in zip(pieces, of_all, strict=True)
    ]


def with_tax_inside(lines: Sequence[BillLine], rates: Sequence[TaxRate]) -> list[BillLine]:
    """Lines priced without tax as lines that hold it, each rounded for itself.

    For a job whose quotes were typed in both ways: one bill has one way, and a price said with its tax must hold.
    """
    known = {rate.code: rate.rate_thousandths for rate in rates}
    return [
        replace(
            line,
            amount_minor=line.amount_minor
            + divide_half_away(line.amount_minor * known.get(line.tax_code, 0), WHOLE_RATE),
        )
        for line in fall_under(lines, rates)
    ]
