"""Moving weighted average, exact: every act on one material's stock, and the proof that no minor unit was lost.

Value belongs to the material, not to a lot. Nothing keeps a rounded unit cost: an average is a pair of whole numbers
until it is multiplied out. Acts are applied in the order in which they are written into the book.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.stock.movements import EMPTY, NO_PRICE, Drawn, MovementKind, Posting, Ratio, Stock

Outcome = tuple[Stock, tuple[Posting, ...]]


def open_with(stock: Stock, quantity_thousandths: int, value_minor: int) -> Outcome:
    """What was on the shelf when the book began, at what it had cost."""
    return _buy(stock, MovementKind.OPENED, quantity_thousandths, value_minor)


def receive(stock: Stock, quantity_thousandths: int, value_minor: int) -> Outcome:
    """A delivery: its quantity, and its value with delivery charge and the like.

    What a negative book had used is covered first, and the difference between what it was guessed to cost and what
    it did cost is a true-up line. Raises RuleBroken for no quantity or a value under zero.
    """
    return _buy(stock, MovementKind.RECEIVED, quantity_thousandths, value_minor)


def issue(stock: Stock, quantity_thousandths: int, supplier_price: Ratio = NO_PRICE) -> Outcome:
    """Out to a stage at average; what goes beyond the book is a second line at the basis, else the supplier's price."""
    return _take(stock, MovementKind.ISSUED, quantity_thousandths, supplier_price)


def waste(stock: Stock, quantity_thousandths: int, supplier_price: Ratio = NO_PRICE) -> Outcome:
    """Spilled, hardened, out of date: priced as an issue, shown apart in the month."""
    return _take(stock, MovementKind.WASTED, quantity_thousandths, supplier_price)


def return_from_stage(stock: Stock, quantity_thousandths: int, drawn: Drawn) -> Outcome:
    """Back on the shelf at what that stage paid; the last of it takes what value the stage has left.

    Raises RuleBroken when more would come back than the stage still has.
    """
    _refuse_nothing(quantity_thousandths)
    if quantity_thousandths > drawn.quantity_thousandths:
        raise RuleBroken("More would come back than the stage took. Enter a smaller quantity.", "quantity")
    value = divide_half_away(drawn.value_minor * quantity_thousandths, drawn.quantity_thousandths)
    return _bring_in(stock, MovementKind.RETURNED_FROM_STAGE, quantity_thousandths, value)


def return_to_supplier(
    stock: Stock, quantity_thousandths: int, credit_minor: int, supplier_price: Ratio = NO_PRICE
) -> Outcome:
    """Back to whoever sold it: leaves at average, is posted at the credit given, and the difference is variance."""
    _refuse_under_zero(credit_minor)
    after, lines = _take(stock, MovementKind.RETURNED_TO_SUPPLIER, quantity_thousandths, supplier_price)
    difference = sum(line.value_minor for line in lines) + credit_minor
    line = Posting(
        MovementKind.RETURNED_TO_SUPPLIER,
        -quantity_thousandths,
        -credit_minor,
        is_beyond_book=lines[-1].is_beyond_book,
        is_unpriced=lines[-1].is_unpriced,
    )
    return after, (line, *_value_line(MovementKind.VARIANCE, difference))


def correct_price(stock: Stock, delivered_thousandths: int, difference_minor: int) -> Outcome:
    """A delivery turned out to cost more (or, under zero, less) than was booked.

    The share of it that may still be on the shelf keeps its part of the difference, never so much that the stock's
    value is negative; the rest is variance today. The basis follows.
    """
    _refuse_nothing(delivered_thousandths)
    if difference_minor == 0:
        return stock, ()
    here = min(max(stock.quantity_thousandths, 0), delivered_thousandths)
    kept = divide_half_away(difference_minor * here, delivered_thousandths)
    kept = max(kept, -stock.value_minor) if here else 0
    after = replace(stock, value_minor=stock.value_minor + kept)
    if after.quantity_thousandths > 0:
        after = _with_basis(after, after.value_minor, after.quantity_thousandths)
    else:
        corrected = max(stock.basis.of(delivered_thousandths) + difference_minor, 0)
        after = _with_basis(after, corrected, delivered_thousandths)
    correction = Posting(MovementKind.PRICE_CORRECTED, 0, difference_minor)
    return after, (correction, *_value_line(MovementKind.VARIANCE, kept - difference_minor))


def count(stock: Stock, counted_thousandths: int, supplier_price: Ratio = NO_PRICE) -> Outcome:
    """What was found on the shelf; the difference to the book moves at average, or at the basis from an empty book.

    A count that agrees posts nothing. Raises RuleBroken for a negative count.
    """
    if counted_thousandths < 0:
        raise RuleBroken("A count cannot be negative. Enter 0 or more.", "quantity")
    difference = counted_thousandths - stock.quantity_thousandths
    if difference == 0:
        return stock, ()
    if difference < 0:
        return _take(stock, MovementKind.COUNTED_DOWN, -difference, NO_PRICE)
    if stock.quantity_thousandths > 0:
        value = divide_half_away(stock.value_minor * difference, stock.quantity_thousandths)
        return _bring_in(stock, MovementKind.COUNTED_UP, difference, value)
    price = stock.basis if stock.basis.is_known else supplier_price
    return _bring_in(stock, MovementKind.COUNTED_UP, difference, price.of(difference), is_unpriced=not price.is_known)


def take_back(stock: Stock, line: Posting) -> Outcome:
    """One line undone to the last unit, at what it was worth then; what a stage took is brought back by it.

    Whether what has moved since leaves a sound stock is asked once all lines of the act are undone: `is_sound`.
    """
    after = replace(
        stock,
        quantity_thousandths=stock.quantity_thousandths - line.quantity_thousandths,
        value_minor=stock.value_minor - line.value_minor,
    )
    kind = MovementKind.RETURNED_FROM_STAGE if line.kind == MovementKind.ISSUED else line.kind
    return after, (Posting(kind, -line.quantity_thousandths, -line.value_minor),)


def is_sound(stock: Stock) -> bool:
    """Whether value and quantity go together: nothing is worth nothing, and what is missing is owed."""
    quantity, value = stock.quantity_thousandths, stock.value_minor
    return value == 0 if quantity == 0 else value >= 0 if quantity > 0 else value <= 0


def _buy(stock: Stock, kind: MovementKind, quantity: int, value: int) -> Outcome:
    _refuse_nothing(quantity)
    _refuse_under_zero(value)
    after, lines = _bring_in(stock, kind, quantity, value)
    if after.quantity_thousandths > 0:
        return _with_basis(after, after.value_minor, after.quantity_thousandths), lines
    # All of it went to cover the negative book: no average is left, so the delivery's own price is the newest known.
    return _with_basis(after, value, quantity), lines


def _bring_in(stock: Stock, kind: MovementKind, quantity: int, value: int, *, is_unpriced: bool = False) -> Outcome:
    true_up = 0
    missing = -stock.quantity_thousandths
    if missing > 0:
        covered = min(quantity, missing)
        carried = divide_half_away(-stock.value_minor * covered, missing)
        true_up = carried - divide_half_away(value * covered, quantity)
    after = replace(
        stock,
        quantity_thousandths=stock.quantity_thousandths + quantity,
        value_minor=stock.value_minor + value + true_up,
    )
    line = Posting(kind, quantity, value, is_unpriced=is_unpriced)
    return after, (line, *_value_line(MovementKind.TRUE_UP, true_up))


def _take(stock: Stock, kind: MovementKind, quantity: int, supplier_price: Ratio) -> Outcome:
    _refuse_nothing(quantity)
    in_hand = min(quantity, max(stock.quantity_thousandths, 0))
    beyond = quantity - in_hand
    lines = []
    if in_hand:
        lines.append(Posting(kind, -in_hand, -stock.value_of(in_hand)))
    if beyond:
        price = stock.basis if stock.basis.is_known else supplier_price
        lines.append(Posting(kind, -beyond, -price.of(beyond), is_beyond_book=True, is_unpriced=not price.is_known))
    after = replace(
        stock,
        quantity_thousandths=stock.quantity_thousandths - quantity,
        value_minor=stock.value_minor + sum(line.value_minor for line in lines),
    )
    return after, tuple(lines)


def _with_basis(stock: Stock, value: int, quantity: int) -> Stock:
    return replace(stock, basis_value_minor=value, basis_quantity_thousandths=quantity)


def _value_line(kind: MovementKind, value: int) -> tuple[Posting, ...]:
    return (Posting(kind, 0, value),) if value else ()


def _refuse_nothing(quantity: int) -> None:
    if quantity <= 0:
        raise RuleBroken("Enter a quantity greater than zero.", "quantity")


def _refuse_under_zero(value: int) -> None:
    if value < 0:
        raise RuleBroken("A price cannot be negative. Enter 0 or more.", "value")


@dataclass(frozen=True, slots=True)
class StockProof:
    """A material's postings summed by kind, in minor units; each figure is positive in its usual direction.

    `received` is net of what went back at the supplier's credit, `issued` net of what came back from stages,
    `true_up_and_variance` is what the month lost by them.
    """

    opening_minor: int
    received_minor: int
    corrections_minor: int
    counted_up_minor: int
    issued_minor: int
    true_up_and_variance_minor: int
    wasted_minor: int
    counted_down_minor: int
    left_minor: int
    quantity_gap_thousandths: int

    @property
    def gap_minor(self) -> int:
        """Value that came in and is accounted for nowhere; zero in a sound book."""
        came = self.opening_minor + self.received_minor + self.corrections_minor + self.counted_up_minor
        went = self.issued_minor + self.true_up_and_variance_minor + self.wasted_minor + self.counted_down_minor
        return came - went - self.left_minor

    @property
    def is_sound(self) -> bool:
        """Whether value and quantity both close to the last unit."""
        return self.gap_minor == 0 and self.quantity_gap_thousandths == 0


def prove(postings: Iterable[Posting], left: Stock, opening: Stock = EMPTY) -> StockProof:
    """The postings between two standings of one material, set against what the book says is left."""
    lines = tuple(postings)
    value = dict.fromkeys(MovementKind, 0)
    for line in lines:
        value[line.kind] += line.value_minor
    kind = MovementKind
    moved = sum(line.quantity_thousandths for line in lines)
    return StockProof(
        opening_minor=opening.value_minor + value[kind.OPENED],
        received_minor=value[kind.RECEIVED] + value[kind.RETURNED_TO_SUPPLIER],
        corrections_minor=value[kind.PRICE_CORRECTED],
        counted_up_minor=value[kind.COUNTED_UP],
        issued_minor=-(value[kind.ISSUED] + value[kind.RETURNED_FROM_STAGE]),
        true_up_and_variance_minor=-(value[kind.TRUE_UP] + value[kind.VARIANCE]),
        wasted_minor=-value[kind.WASTED],
        counted_down_minor=-value[kind.COUNTED_DOWN],
        left_minor=left.value_minor,
        quantity_gap_thousandths=opening.quantity_thousandths + moved - left.quantity_thousandths,
    )
