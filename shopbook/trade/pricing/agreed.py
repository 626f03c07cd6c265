"""What exceeds an approved sum, and how much of it may be billed without another approval."""

from dataclasses import dataclass

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away


@dataclass(frozen=True, slots=True)
class Allowance:
    """How far a bill may exceed the approved sum: tenths of a percent of it, an amount, or the lesser of both.

    Neither given: not at all. Some places cap it by law; the shop sets it.
    """

    permille: int | None = None
    amount_minor: int | None = None

    def of(self, agreed_minor: int) -> int:
        limits = [] if self.permille is None else [divide_half_away(agreed_minor * self.permille, 1000)]
        limits += [] if self.amount_minor is None else [self.amount_minor]
        if any(limit < 0 for limit in limits):
            raise RuleBroken("Enter an allowance of zero or more.", "allowance")
        return min(limits, default=0)


@dataclass(frozen=True, slots=True)
class Beyond:
    """All with tax: `over_minor` exceeds what was approved, `billable_minor` may be billed now, `held_minor` waits."""

    over_minor: int
    billable_minor: int
    held_minor: int


def beyond_agreed(agreed_minor: int, asked_minor: int, allowance: Allowance | None = None) -> Beyond:
    """How `asked_minor` stands to `agreed_minor` and the shop's allowance (default none).

    Up to the agreed sum and its allowance is billable; the rest is held until it is approved.
    """
    over = max(asked_minor - agreed_minor, 0)
    held = max(over - (allowance or Allowance()).of(agreed_minor), 0)
    return Beyond(over, asked_minor - held, held)
