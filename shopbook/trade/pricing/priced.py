"""A whole quote as the trade sums it: its items, the kinds of tax it was priced at, its discount and its upper sum."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from shopbook.trade.billing import TaxRate
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.pricing.quotes import NO_SAVINGS, PricedGroup, QuoteSum, first_ways, sum_quote
from shopbook.trade.pricing.savings import SavingTerms


@dataclass(frozen=True, slots=True)
class PricedQuote:
    """Everything that a quote's sums are made of; `up_to_minor` (with tax) only for an estimate."""

    groups: tuple[PricedGroup, ...]
    rates: tuple[TaxRate, ...]
    includes_tax: bool = False
    discount_minor: int = 0
    up_to_minor: int | None = None
    savings: SavingTerms = NO_SAVINGS
    discount_key: int = 0

    def sum(self, taken: Collection[str] | None = None) -> QuoteSum:
        """What is taken (by the groups' keys); None takes all, of two ways the first.

        Discount and upper sum were typed for the whole quote: of a part they hold in proportion. RuleBroken for two
        ways of one thing, or a discount over the sum.
        """
        if taken is None:
            return self._add_up(None, self.discount_minor, self.up_to_minor)
        mine = set(taken)
        if not (self.discount_minor or self.up_to_minor) or mine == first_ways(self.groups):
            return self._add_up(mine, self.discount_minor, self.up_to_minor)
        whole, part = self._add_up(None, 0, None).taken, self._add_up(mine, 0, None).taken
        discount = share_of(self.discount_minor, part.lines_minor, whole.lines_minor)
        gross = self._add_up(mine, discount, None).taken.gross_minor
        if self.up_to_minor is None:
            return self._add_up(mine, discount, None)
        most = share_of(self.up_to_minor, gross, self._add_up(None, self.discount_minor, None).taken.gross_minor)
        return self._add_up(mine, discount, max(most, gross))

    def at_rates(self, rates: Sequence[TaxRate]) -> "PricedQuote":
        """The same work at the kinds of tax of another day, such as that of a deposit.

        The upper sum of an estimate was said at the first ones: it is left out.
        """
        return replace(self, rates=tuple(rates), up_to_minor=None)

    def _add_up(self, taken: set[str] | None, discount_minor: int, up_to_minor: int | None) -> QuoteSum:
        return sum_quote(
            self.groups,
            self.rates,
            taken=taken,
            includes_tax=self.includes_tax,
            discount_minor=discount_minor,
            up_to_minor=up_to_minor,
            savings=self.savings,
            discount_key=self.discount_key,
        )


def share_of(sum_minor: int, part_minor: int, whole_minor: int) -> int:
    """A sum that was meant for the whole, in proportion to a part of it; nothing of a whole that is zero."""
    return divide_half_away(sum_minor * part_minor, whole_minor) if whole_minor else 0
