"""Credits against an issued bill: the rest, some lines, or a sum; all of them mirror the bill to the last unit."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from shopbook.trade.billing.bill import Bill, TaxTotal
from shopbook.trade.billing.lines import WHOLE_RATE, BillLine, LineKind
from shopbook.trade.billing.shares import share_within
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away, share_out


@dataclass(frozen=True, slots=True)
class Credit:
    """What one credit note takes back, in positive figures: net by line of the bill (same places), totals by tax."""

    line_nets: tuple[int, ...]
    taxes: tuple[TaxTotal, ...]

    @property
    def net_minor(self) -> int:
        return sum(row.basis_minor for row in self.taxes)

    @property
    def tax_minor(self) -> int:
        return sum(row.tax_minor for row in self.taxes)

    @property
    def gross_minor(self) -> int:
        return self.net_minor + self.tax_minor

    def net_by_kind(self, bill: Bill) -> dict[LineKind, int]:
        """Net taken back by kind of line of `bill`, kinds that are not touched left out."""
        sums: dict[LineKind, int] = {}
        for row, net in zip(bill.lines, self.line_nets, strict=True):
            if net:
                sums[row.kind] = sums.get(row.kind, 0) + net
        return sums


def credit_rest(bill: Bill, already: Sequence[Credit] = ()) -> Credit:
    """Everything that earlier credits left of `bill`; RuleBroken if they left nothing."""
    left = _left_by_line(bill, already)
    taxes = tuple(rest_of(total, already) for total in bill.taxes)
    if not any(left) and not any(row.basis_minor or row.tax_minor for row in taxes):
        raise RuleBroken("This invoice is already credited in full.")
    return Credit(tuple(left), taxes)


def credit_lines(bill: Bill, places: Collection[int], already: Sequence[Credit] = ()) -> Credit:
    """What is left of the lines at `places` (from zero), each with its share of a discount on the whole bill.

    The tax follows the credited basis from credit to credit, so that the last one brings the exact rest. Raises
    RuleBroken if no line is chosen, a line is credited already, or earlier credits left too little.
    """
    left = _left_by_line(bill, already)
    if not places or not all(0 <= place < len(left) for place in places):
        raise RuleBroken("Choose the lines to credit.")
    taken = [0] * len(left)
    for place in places:
        if left[place] == 0 and bill.lines[place].net_minor != 0:
            raise RuleBroken(f"“{bill.lines[place].words}” is already credited.")
        taken[place] = left[place]
    _take_discounts(bill, left, taken)
    return Credit(tuple(taken), _taxes_for_lines(bill, taken, already))


def issued_credit(
    bill: Bill, lines: Sequence[BillLine], taxes: Sequence[TaxTotal], already: Sequence[Credit] = ()
) -> Credit:
    """A credit as it was issued, from its kept net lines (positive as in `Credit`) laid on the lines of its bill.

    A line is known again by its key and kind of tax; one issued before lines had keys by kind, words and kind of tax.
    Of equals the first of which earlier credits left enough takes it. Raises ValueError for a line that the bill does
    not have.
    """
    nets, left = [0] * len(bill.lines), _left_by_line(bill, already)
    for line in lines:
        place = next((at for at, row in enumerate(bill.lines) if _takes(row, left[at] - nets[at], line)), None)
        if place is None:
            raise ValueError(f"the bill has no line that was credited as {line.words!r}")
        nets[place] += line.amount_minor
    return Credit(tuple(nets), tuple(taxes))


def _takes(row: BillLine, left: int, line: BillLine) -> bool:
    same = row.key == line.key if row.key and line.key else (row.kind, row.words) == (line.kind, line.words)
    return same and row.tax_code == line.tax_code and min(0, left) <= line.amount_minor <= max(0, left)


def _taxes_for_lines(bill: Bill, taken: Sequence[int], already: Sequence[Credit]) -> tuple[TaxTotal, ...]:
    rows = []
    for total in bill.taxes:
        at = [place for place, row in enumerate(bill.lines) if row.tax_code == total.rate.code]
        basis = sum(taken[place] for place in at)
        rest = rest_of(total, already)
        if abs(basis) > abs(rest.basis_minor) and basis * total.basis_minor > 0:
            raise RuleBroken(
                "Earlier credits or a deposit leave less than these lines. Credit an amount or all that is left."
            )
        if any(taken[place] for place in at):
            rows.append(_by_basis(total, basis, rest))
    return tuple(rows)


def credit_amount(bill: Bill, gross_minor: int, already: Sequence[Credit] = ()) -> Credit:
    """A sum with its tax inside, spread over what is left of each kind of tax and of its lines.

    Raises RuleBroken for a sum that is not above zero or is more than earlier credits left.
    """
    rests = [rest_of(total, already) for total in bill.taxes]
    rest_gross = sum(rest.gross_minor for rest in rests)
    if gross_minor <= 0:
        raise RuleBroken("Enter an amount above zero, for example 120 or 120.50.", "amount")
    if gross_minor > rest_gross:
        raise RuleBroken("That is more than is left to credit. Enter a smaller amount.", "amount")
    if gross_minor == rest_gross:
        return credit_rest(bill, already)
    parts = share_within(gross_minor, [max(rest.gross_minor, 0) for rest in rests])
    taken = [0] * len(bill.lines)
    taxes = []
    for total, rest, gross in zip(bill.taxes, rests, parts, strict=True):
        if gross:
            row = _by_gross(total, gross, rest)
            taxes.append(row)
            _take_from_lines(bill, row, _left_by_line(bill, already), taken)
    return Credit(tuple(taken), tuple(taxes))


def _left_by_line(bill: Bill, already: Sequence[Credit]) -> list[int]:
    return [row.net_minor - sum(one.line_nets[place] for one in already) for place, row in enumerate(bill.lines)]


def rest_of(total: TaxTotal, already: Sequence[Credit]) -> TaxTotal:
    """What earlier credits left of one kind of tax."""
    done = (row for credit in already for row in credit.taxes if row.rate.code == total.rate.code)
    return sum((-row for row in done), total)


def _by_basis(total: TaxTotal, basis: int, rest: TaxTotal) -> TaxTotal:
    reached = total.basis_minor - rest.basis_minor + basis
    if reached == total.basis_minor:
        tax = rest.tax_minor
    else:
        target = (
            divide_half_away(total.tax_minor * reached, total.basis_minor)
            if total.basis_minor
            else divide_half_away(reached * total.rate.rate_thousandths, WHOLE_RATE)
        )
        tax = target - (total.tax_minor - rest.tax_minor)
    return TaxTotal(total.rate, basis, tax, _parts_of(total, tax, rest))


def _by_gross(total: TaxTotal, gross: int, rest: TaxTotal) -> TaxTotal:
    reached = total.gross_minor - rest.gross_minor + gross
    target = divide_half_away(total.tax_minor * reached, total.gross_minor)
    tax = target - (total.tax_minor - rest.tax_minor)
    return TaxTotal(total.rate, gross - tax, tax, _parts_of(total, tax, rest))


def _parts_of(total: TaxTotal, tax: int, rest: TaxTotal) -> tuple[int, ...]:
    weights = [abs(part) for part in total.part_taxes_minor]
    reached = share_out(total.tax_minor - rest.tax_minor + tax, weights)
    left = zip(total.part_taxes_minor, rest.part_taxes_minor, strict=True)
    return tuple(now - (whole - still) for now, (whole, still) in zip(reached, left, strict=True))


def _take_discounts(bill: Bill, left: Sequence[int], taken: list[int]) -> None:
    for place, row in enumerate(bill.lines):
        if not (row.is_whole_bill and row.kind is LineKind.DISCOUNT) or taken[place]:
            continue
        mates = bill.places_under(row.tax_code)
        whole = sum(bill.lines[at].net_minor for at in mates)
        reached = sum(bill.lines[at].net_minor - left[at] + taken[at] for at in mates)
        if whole and any(taken[at] for at in mates):
            taken[place] = divide_half_away(row.net_minor * reached, whole) - (row.net_minor - left[place])


def _take_from_lines(bill: Bill, row: TaxTotal, left: Sequence[int], taken: list[int]) -> None:
    at = [place for place, billed in enumerate(bill.lines) if billed.tax_code == row.rate.code]
    whole = sum(left[place] for place in at)
    for place in at:
        taken[place] = divide_half_away(left[place] * row.basis_minor, whole) if whole else 0
    largest = max(at, key=lambda place: (abs(left[place]), -place))
    taken[largest] += row.basis_minor - sum(taken[place] for place in at)
