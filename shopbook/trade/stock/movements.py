"""The stock ledger's words: why a line moves quantity or value, the standing of a material, a price as a ratio."""

from dataclasses import dataclass
from enum import StrEnum

from shopbook.trade.measures.amounts import divide_half_away


class MovementKind(StrEnum):
    """Why a line of the stock ledger moved quantity, value or both."""

    OPENED = "opened"
    RECEIVED = "received"
    RETURNED_TO_SUPPLIER = "returned_to_supplier"
    ISSUED = "issued"
    RETURNED_FROM_STAGE = "returned_from_stage"
    WASTED = "wasted"
    COUNTED_UP = "counted_up"
    COUNTED_DOWN = "counted_down"
    PRICE_CORRECTED = "price_corrected"
    TRUE_UP = "true_up"
    VARIANCE = "variance"


UNDONE = "undone"
"""The reason of a line that takes another back whole: neither of the two happened."""


@dataclass(frozen=True, slots=True)
class Ratio:
    """A price as the pair it came from: so much value for so much quantity; no quantity means no price is known."""

    value_minor: int = 0
    quantity_thousandths: int = 0

    def of(self, quantity_thousandths: int) -> int:
        """What that quantity is worth at this price, in minor units; zero where no price is known."""
        if not self.is_known:
            return 0
        return divide_half_away(self.value_minor * quantity_thousandths, self.quantity_thousandths)

    @property
    def is_known(self) -> bool:
        """Whether it says anything; a price of nothing does not, for a gift must not price what follows it."""
        return self.quantity_thousandths > 0 and self.value_minor > 0


NO_PRICE = Ratio()


@dataclass(frozen=True, slots=True)
class Stock:
    """What the book holds of one material, and the basis (a ratio) that prices what leaves beyond the book."""

    quantity_thousandths: int = 0
    value_minor: int = 0
    basis_value_minor: int = 0
    basis_quantity_thousandths: int = 0

    @property
    def basis(self) -> Ratio:
        """The price set by the last receipt or price correction."""
        return Ratio(self.basis_value_minor, self.basis_quantity_thousandths)

    def value_of(self, quantity_thousandths: int) -> int:
        """What a part of the stock in hand is worth at average; all of it is worth all there is."""
        if quantity_thousandths == self.quantity_thousandths:
            return self.value_minor
        return divide_half_away(self.value_minor * quantity_thousandths, self.quantity_thousandths)


EMPTY = Stock()


@dataclass(frozen=True, slots=True)
class Posting:
    """One line for the ledger, signed as it changes the stock.

    `is_beyond_book`: the book held less than was taken. `is_unpriced`: no price was known, so it went at zero. Either
    asks for a count.
    """

    kind: MovementKind
    quantity_thousandths: int
    value_minor: int
    is_beyond_book: bool = False
    is_unpriced: bool = False


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a stage still has of a material: issued to it less what came back, quantity and value both as positive."""

    quantity_thousandths: int
    value_minor: int
