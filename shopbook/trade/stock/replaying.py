"""The movements of one material gone through once more, line by line as they were written: what its figures must be."""

from dataclasses import dataclass, replace

from shopbook.trade.stock.movements import MovementKind, Stock

_AT_AVERAGE = frozenset({MovementKind.ISSUED, MovementKind.WASTED, MovementKind.COUNTED_DOWN})
_BUYS = frozenset({MovementKind.OPENED, MovementKind.RECEIVED})
_FOLLOW = frozenset({MovementKind.TRUE_UP, MovementKind.VARIANCE})
"""Lines that belong to the one before them."""


@dataclass(frozen=True, slots=True)
class Written:
    """One line of the stock ledger; `delivered_thousandths` is the whole delivery that it belongs to."""

    kind: MovementKind
    quantity_thousandths: int
    value_minor: int
    delivered_thousandths: int = 0
    is_undoing: bool = False
    """It takes another line back: the price of what is used beyond the book stays."""


class Replay:
    """The stock of one material after each line.

    100 for 10.00, then 100 for 14.00: 200 worth 24.00, and the newest price is 24.00 for 200. 50 of it leave at 6.00.
    """

    def __init__(self) -> None:
        self.stock = Stock()
        self._sets_price: Written | None = None

    def take(self, line: Written) -> int | None:
        """Go on by one line; answers the value that it must have had, None where it may have any."""
        if line.kind not in _FOLLOW:
            self._set_price()
        wanted, stock = self._wanted(line), self.stock
        self.stock = Stock(
            stock.quantity_thousandths + line.quantity_thousandths,
            stock.value_minor + line.value_minor,
            stock.basis_value_minor,
            stock.basis_quantity_thousandths,
        )
        if (line.kind in _BUYS or line.kind is MovementKind.PRICE_CORRECTED) and not line.is_undoing:
            self._sets_price = line
        return wanted

    def end(self) -> Stock:
        """The stock after the last line."""
        self._set_price()
        return self.stock

    def _wanted(self, line: Written) -> int | None:
        if line.kind not in _AT_AVERAGE or not 0 < -line.quantity_thousandths <= self.stock.quantity_thousandths:
            return None
        return -self.stock.value_of(-line.quantity_thousandths)

    def _set_price(self) -> None:
        """The price that a delivery or a corrected price leaves behind, once the lines that follow it are in.

        Where nothing is on the shelf then, it is that of the delivery itself (`average_cost.py: _buy, correct_price`).
        """
        line, self._sets_price = self._sets_price, None
        if line is None:
            return
        value, quantity = self.stock.value_minor, self.stock.quantity_thousandths
        if quantity <= 0 and line.kind is MovementKind.PRICE_CORRECTED:
            quantity = line.delivered_thousandths
            value = max(self.stock.basis.of(quantity) + line.value_minor, 0)
        elif quantity <= 0:
            value, quantity = line.value_minor, line.quantity_thousandths
        self.stock = replace(self.stock, basis_value_minor=value, basis_quantity_thousandths=quantity)
