"""One payment over several invoices: the oldest is paid first, the next with what is left.

900.00 over 300.00, 450.00 and 275.31, oldest first: 300.00, 450.00 and 150.00; 1,100.00: all three, and 74.69 is left
over as credit.
"""

from collections.abc import Sequence

from shopbook.trade.errors import RuleBroken


def spread_oldest_first(amount_minor: int, owed_minor: Sequence[int]) -> list[int]:
    """What of an amount pays each of these sums, in their order; never more than the sum itself."""
    left, parts = amount_minor, []
    for owed in owed_minor:
        parts.append(min(max(left, 0), max(owed, 0)))
        left -= parts[-1]
    return parts


def left_over(amount_minor: int, parts_minor: Sequence[int]) -> int:
    """What stays as credit; RuleBroken where the parts come to more than the amount, or one is below zero."""
    if any(part < 0 for part in parts_minor):
        raise RuleBroken("Enter amounts that are not below zero.", "rows")
    if sum(parts_minor) <= 0:
        raise RuleBroken("Enter an amount for at least one invoice.", "rows")
    if sum(parts_minor) > amount_minor:
        raise RuleBroken("The invoices add up to more than the payment. Enter smaller amounts.", "amount")
    return amount_minor - sum(parts_minor)
