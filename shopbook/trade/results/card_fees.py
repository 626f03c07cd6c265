"""What a bank or a terminal keeps of the money taken: a percentage and a fixed part per payment, by means."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from shopbook.trade.billing.reversals import Reversal
from shopbook.trade.measures.amounts import divide_half_away

_WHOLE = 100_000
"""Thousandths of a percent in the whole."""
TAKEN_KINDS = frozenset({"payment", "deposit", "held", "security", "recovered"})
"""Kinds of payment in which money really came; what was moved between jobs went through no terminal."""
NEVER_TAKEN = frozenset({Reversal.TYPED_WRONG, Reversal.OTHER_JOB})
"""Reversals that say that the payment was written wrong: its fee was never kept either. After a chargeback or a
refund the fee stays lost (common practice of card contracts)."""


@dataclass(frozen=True, slots=True)
class CardFee:
    """The fee on payments by one means from a day: thousandths of a percent, and minor units per payment."""

    means: str
    rate_thousandths: int
    fixed_minor: int
    from_on: date

    def of(self, amount_minor: int) -> int:
        """The fee on one payment, rounded once: 2.6 % and 0.10 on 250.00 is 6.60."""
        return divide_half_away(amount_minor * self.rate_thousandths, _WHOLE) + self.fixed_minor


@dataclass(frozen=True, slots=True)
class PaidBy:
    """A payment as its fee sees it; `takes_back` where the line says that it was never taken (a minus of its fee)."""

    means: str
    amount_minor: int
    on: date
    takes_back: bool = False


@dataclass(frozen=True, slots=True)
class MeansFees:
    """What was taken by one means over some days, and what was kept of it."""

    means: str
    taken_minor: int
    fee_minor: int


def fee_on(fees: Iterable[CardFee], means: str, day: date) -> CardFee | None:
    """The fee by a means that applies on a day; of several lines of a day the later one. None where none is known."""
    return max(
        (fee for fee in fees if fee.means == means and fee.from_on <= day), key=lambda fee: fee.from_on, default=None
    )


def sum_fees(payments: Iterable[PaidBy], fees: Sequence[CardFee]) -> tuple[MeansFees, ...]:
    """The fees by means, for means that have one, by name. A payment that was never taken takes its fee back.

    `fees` in order of their lines. 2.6 % by card: 9,400.00 in one payment is 244.40.
    """
    newest_first = list(reversed(fees))
    sums: dict[str, tuple[int, int]] = {}
    for paid in payments:
        fee = fee_on(newest_first, paid.means, paid.on)
        if fee is None:
            continue
        sign = -1 if paid.takes_back else 1
        taken, kept = sums.get(paid.means, (0, 0))
        sums[paid.means] = (taken + sign * paid.amount_minor, kept + sign * fee.of(paid.amount_minor))
    return tuple(MeansFees(means, *sums[means]) for means in sorted(sums))
