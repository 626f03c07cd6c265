"""What of a job is billed now, to whom, and what is held until its payer approves it: one answer for all pages.

An invoice bills each payer at most its approval. What is held keeps the keys of its lines and is billed later, by an
invoice of its own.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from sqlalchemy.orm import Session

from shopbook.queries.money.billable import AgreedWork, BillingDay
from shopbook.queries.money.issued import Issued, bill_not_issued
from shopbook.queries.money.payers import NamedPayer, NamedShare, share_bill
from shopbook.queries.money.whose import NamedSum, approved_by, find_shares, have_others, payers_who_agreed
from shopbook.trade.agreeing.approvals import add_bills, at_rates, keep_within
from shopbook.trade.billing import Bill, BillLine, LineKind, TaxRate, make_bill
from shopbook.trade.billing.billable import Billable
from shopbook.trade.billing.lines import EXEMPT
from shopbook.trade.billing.payers import EXCESSES, PayerShare, PayRule, share_further
from shopbook.trade.errors import RuleBroken


@dataclass(frozen=True, slots=True)
class Split:
    """What of one job is billed now: the bill, who pays for it by which rule, and what waits for whose approval."""

    billable: Billable
    payers: tuple[NamedPayer, ...]
    held: tuple[NamedSum, ...] = ()
    """What each payer has not approved (with tax): not billed yet."""

    @property
    def held_minor(self) -> int:
        return sum(row.amount_minor for row in self.held)


def split_not_issued(
    session: Session, work: AgreedWork, issued: Issued, payers: Sequence[NamedPayer], day: BillingDay
) -> Split:
    """What no invoice of one job holds, as far as its payers approved it; writes nothing.

    1,912.45 with an excess of 500.00, of it an extra of 97.50 that the insurer did not approve and the customer did not
    agree to pay: 1,814.95 is billed now, 500.00 and 1,314.95, and 97.50 of the insurer's is held. RuleBroken as
    `bill_not_issued` does.
    """
    day = day.of(work)
    billable = bill_not_issued(work, issued, day)
    own = payers_who_agreed(session, payers, work.quotes)
    if not have_others(own) or not billable.bill.lines:
        return Split(billable, tuple(own))
    before = _issued_bill(issued, billable.bill.lines, work)
    limits = _Limits(own, work, before, billable.bill, day, issued.repriced)
    kept = make_bill(limits.kept(), day.rates, includes_tax=billable.bill.includes_tax)
    found = Split(replace(billable, bill=kept), tuple(limits.payers))
    return replace(found, held=_held(own, limits.payers, before, billable.bill, kept))


def share_now(split: Split, issued: Issued, bill: Bill) -> list[NamedShare]:
    """What each payer pays of a bill that comes on top of what is issued: its share of both less what it was billed.

    So nobody pays an excess twice, and an excess that was not used up is. RuleBroken as `who_pays`.
    """
    if not issued.papers or not have_others(split.payers):
        return share_bill(split.payers, bill)
    before = keyed(Bill(issued.lines, issued.taxes), bill.lines)
    whole = share_bill(split.payers, add_bills([before, bill]))
    earlier = _parts_before(split.payers, before)
    billed = [issued.billed.get(row.payer.customer_id, 0) for row in whole]
    shares = share_further([row.share for row in whole], earlier, billed, bill.gross_minor)
    return [NamedShare(row.payer, share) for row, share in zip(whole, shares, strict=True)]


def _parts_before(payers: Sequence[NamedPayer], before: Bill) -> list[PayerShare]:
    try:
        return [row.share for row in share_bill(payers, before)]
    except RuleBroken:
        return [PayerShare(payer.key, 0, ()) for payer in payers]


def _issued_bill(issued: Issued, lines: Sequence[BillLine], work: AgreedWork) -> Bill:
    quoted = [line for row in work.quotes for line in row.sum.taken.lines]
    return keyed(Bill(issued.lines, issued.taxes), [*quoted, *lines])


def keyed(bill: Bill, known: Sequence[BillLine]) -> Bill:
    """An issued bill whose lines know their item again, by their keys."""
    by_key = {line.key: line for line in known}
    lines = [
        replace(
            line,
            group_key=by_key[line.key].group_key if line.key in by_key else "",
            is_whole_bill=line.kind is LineKind.DISCOUNT,
        )
        for line in bill.lines
    ]
    return replace(bill, lines=tuple(lines))


def _held(
    payers: Sequence[NamedPayer], capped: Sequence[NamedPayer], before: Bill, asked: Bill, kept: Bill
) -> tuple[NamedSum, ...]:
    if kept.gross_minor == asked.gross_minor:
        return ()
    whole, now = find_shares(payers, add_bills([before, asked])), find_shares(capped, add_bills([before, kept]))
    rows = (NamedSum(payer, whole.get(payer.key, 0) - now.get(payer.key, 0)) for payer in payers)
    return tuple(row for row in rows if row.amount_minor > 0)


class _Limits:
    """What each payer of one job may be billed in all, at the tax that its approval was given for.

    What a changed rate of tax adds is so left out. Lines beyond an estimate, which the shop's allowance let in, raise
    the limits by what they come to. The customer's limit is its own share of all of the work.
    """

    def __init__(
        self,
        payers: Sequence[NamedPayer],
        work: AgreedWork,
        before: Bill,
        asked: Bill,
        day: BillingDay,
        repriced: Mapping[int | None, int],
    ) -> None:
        then = _rates_then(work)
        self._rates = _rates_as_approved(day, then)
        self._asked, self._work = asked, work
        self._before = before if asked.includes_tax else at_rates(before, then)
        plain = [line for line in asked.lines if not line.is_beyond]
        shares, without = self._shares(payers, asked.lines), self._shares(payers, plain)
        self._most = {
            key: approved + shares.get(key, 0) - without.get(key, 0)
            for key, approved in approved_by(payers, work.quotes, repriced).items()
        }
        self._most |= {payer.key: shares[payer.key] for payer in payers if payer.is_customer and payer.key in shares}
        self.payers = [self._capped(payer) for payer in payers]
        self._rounding = _rounding(work, asked, before)

    def kept(self) -> list[BillLine]:
        """The lines that are billed now, in their order."""
        lines = self._asked.lines
        units: dict[tuple[int, str], list[BillLine]] = {}
        for line in lines:
            units.setdefault(self._unit_of(line), []).append(line)
        found = keep_within(
            [units[key] for key in sorted(units)], self._fits, partial(self._fits, slack=self._rounding)
        )
        places = {(line.key, line.tax_code, line.words): place for place, line in enumerate(lines)}
        return sorted(found, key=lambda line: places[(line.key, line.tax_code, line.words)])

    def _fits(self, lines: Sequence[BillLine], slack: int = 0) -> bool:
        """Whether nobody would be billed past its limit; a bill too small for a fixed sum passes nobody's."""
        shares = self._shares(self.payers, lines)
        return all(shares.get(key, 0) <= most + (slack if most else 0) for key, most in self._most.items())

    def _shares(self, payers: Sequence[NamedPayer], lines: Sequence[BillLine]) -> dict[str, int]:
        bill = make_bill(lines, self._rates, includes_tax=self._asked.includes_tax)
        return find_shares(payers, add_bills([self._before, bill]))

    def _capped(self, payer: NamedPayer) -> NamedPayer:
        """An excess or a fixed sum of another payer is asked for only as far as it was approved."""
        if payer.is_customer or payer.rule not in EXCESSES | {PayRule.FIXED}:
            return payer
        return replace(payer, amount_minor=min(payer.amount_minor, self._most.get(payer.key, 0)))

    def _unit_of(self, line: BillLine) -> tuple[int, str]:
        """What is billed or held as one: the lines of one quote that one payer bears, the quote itself first."""
        place = next((at for at, row in enumerate(self._work.quotes) if _is_of(line, row.sum.taken.lines)), 0)
        own = [payer.key for payer in self.payers if not payer.is_customer and line.group_key in payer.group_keys]
        return place, own[0] if own else ""


def _is_of(line: BillLine, lines: Sequence[BillLine]) -> bool:
    return any(one.key == line.key for one in lines)


def _rates_then(work: AgreedWork) -> Mapping[str, TaxRate]:
    return {total.rate.code: total.rate for row in reversed(work.quotes) for total in row.sum.taken.taxes}


def _rates_as_approved(day: BillingDay, then: Mapping[str, TaxRate]) -> list[TaxRate]:
    """The day's kinds of tax at the rates of the approvals; one given under a certificate is compared without tax."""
    exempt = [rate for rate in then.values() if rate.code.startswith(EXEMPT)]
    return exempt or [then.get(rate.code, rate) for rate in day.rates]


def _rounding(work: AgreedWork, asked: Bill, before: Bill) -> int:
    """A minor unit for each time that a kind of tax was rounded for itself on a quote of its own or an invoice,
    since sums rounded one by one and all at once differ by no more."""
    sums = len(work.quotes) - 1 + bool(before.lines)
    mixed = len({row.quote.has_tax_inside for row in work.quotes}) > 1
    return sums * len(asked.taxes) + (len(asked.lines) if mixed else 0)
