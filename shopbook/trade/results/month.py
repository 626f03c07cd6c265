"""The month's sums from plain rows, and the identities that prove them."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from shopbook.trade.billing import LineKind
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.results.margin import Costs, Margin


@dataclass(frozen=True, slots=True)
class InvoicedRow:
    """Net of one kind of line on one paper of the month; negative on a credit note."""

    job: str
    kind: LineKind
    net_minor: int


@dataclass(frozen=True, slots=True)
class TaxRow:
    """Tax under one code at one rate: of one paper (negative on a credit note), or of the whole month."""

    code: str
    name: str
    rate_thousandths: int
    basis_minor: int
    tax_minor: int
    line_kind: str = ""
    """Of what is not taxed, the kind of line where it is told apart."""


@dataclass(frozen=True, slots=True)
class SpentRow:
    """What was spent on one job in the month; the job of another month's comeback counts here too."""

    job: str
    costs: Costs


@dataclass(frozen=True, slots=True)
class JobMonth:
    """One job in the month: what it was invoiced and cost before, and what of both fell into the month.

    `is_in_hand`: on the month's last day it was neither invoiced nor gone, so that its margin is not known yet.
    """

    before: Margin
    month: Margin
    is_in_hand: bool = False

    @property
    def whole(self) -> Margin:
        """The job from its first day to the end of the month."""
        return Margin(self.before.revenue_minor + self.month.revenue_minor, self.before.costs + self.month.costs)


@dataclass(frozen=True, slots=True)
class Hours:
    """Minutes of the month: paid for being here, clocked on cars, and sold on the invoices; what an hour is charged at,
    in minor units."""

    here_minutes: int
    on_cars_minutes: int
    sold_minutes: int
    paid_cost_minor: int
    charged_minor: int = 0

    @property
    def people_minor(self) -> int | None:
        """Wages per hour on a car: the cost of all paid hours ÷ hours on cars; None while no hour was on a car.

        Rent, power and the owner's own pay come on top: break-even per hour is the owner's figure in Settings.
        """
        return divide_half_away(self.paid_cost_minor * 60, self.on_cars_minutes) if self.on_cars_minutes > 0 else None

    @property
    def to_place_minutes(self) -> int:
        """Here but on no car; below zero where a clock ran beyond the time here, for the shop's owner to correct."""
        return self.here_minutes - self.on_cars_minutes

    @property
    def use_permille(self) -> int | None:
        """Hours on cars ÷ hours here, in tenths of a percent (utilisation; names differ between sources)."""
        return divide_half_away(self.on_cars_minutes * 1000, self.here_minutes) if self.here_minutes else None

    @property
    def sold_permille(self) -> int | None:
        """Hours sold ÷ hours on cars, in tenths of a percent (efficiency; names differ between sources)."""
        return divide_half_away(self.sold_minutes * 1000, self.on_cars_minutes) if self.on_cars_minutes else None


@dataclass(frozen=True, slots=True)
class StockSums:
    """The shelf's value over some days, in minor units, each figure positive in its usual direction.

    opening + received + corrected + counted up = issued + variance + wasted + counted down + closing, where `received`
    is net of what went back to suppliers, `issued` net of what came back from stages, `began` is what was on the shelf
    when it was first counted, and `variance` holds true-ups too.
    """

    opening_minor: int
    began_minor: int
    received_minor: int
    corrected_minor: int
    counted_up_minor: int
    issued_to_jobs_minor: int
    issued_to_supplies_minor: int
    variance_minor: int
    wasted_minor: int
    counted_down_minor: int
    closing_minor: int

    @property
    def came_minor(self) -> int:
        """What was bought or found when counting began, net of what went back, at corrected prices."""
        return self.began_minor + self.received_minor + self.corrected_minor

    @property
    def counted_minor(self) -> int:
        """Counted as found more than the book said; negative where less was found."""
        return self.counted_up_minor - self.counted_down_minor

    @property
    def issued_minor(self) -> int:
        """What was issued to jobs and as shop supplies, in total."""
        return self.issued_to_jobs_minor + self.issued_to_supplies_minor

    @property
    def gap_minor(self) -> int:
        """Value accounted for nowhere; zero in a sound book."""
        came = self.opening_minor + self.came_minor + self.counted_minor
        went = self.issued_minor + self.variance_minor + self.wasted_minor
        return came - went - self.closing_minor


@dataclass(frozen=True, slots=True)
class MonthEnd:
    """The month's figures; `faults` holds a sentence for each identity that does not hold.

    `all_jobs` is what its jobs add up to, with the shop supplies opened while no clock ran on any of them.
    """

    by_kind: dict[LineKind, int]
    taxes: tuple[TaxRow, ...]
    by_job: dict[str, JobMonth]
    all_jobs: Margin
    hours: Hours
    stock: StockSums
    faults: tuple[str, ...]

    @property
    def net_minor(self) -> int:
        return self.all_jobs.revenue_minor

    @property
    def together(self) -> JobMonth:
        """The rows of all jobs of the month added up."""
        rows = self.by_job.values()
        return JobMonth(before=_added(row.before for row in rows), month=_added(row.month for row in rows))

    @property
    def supplies_on_no_job_minor(self) -> int:
        """Shop supplies of a month in which no clock ran on a car."""
        return self.all_jobs.costs.supplies_minor - self.together.month.costs.supplies_minor

    @property
    def tax_minor(self) -> int:
        return sum(row.tax_minor for row in self.taxes)

    @property
    def gross_minor(self) -> int:
        return self.net_minor + self.tax_minor


def _added(margins: Iterable[Margin]) -> Margin:
    rows = list(margins)
    return Margin(sum(row.revenue_minor for row in rows), sum((row.costs for row in rows), Costs()))


def month_end(
    invoiced: Sequence[InvoicedRow],
    taxes: Sequence[TaxRow],
    spent: Sequence[SpentRow],
    hours: Hours,
    stock: StockSums,
    gross_minor: int | None = None,
    *,
    before: Mapping[str, Margin] | None = None,
    in_hand: Collection[str] = (),
    supplies_on_no_job_minor: int = 0,
) -> MonthEnd:
    """The month from its rows: kinds, rates and jobs in order of first mention.

    `before` holds what the month's jobs were invoiced and cost in earlier months, `in_hand` those that are not done.
    `floor_on_no_job_minor` is the shop supplies that no job carries.
    `gross_minor` is the sum of the papers as issued, for the check that net and tax make it up. A deposit's own
    invoice and its deduction stand among the rows like any other paper.
    """
    by_kind: dict[LineKind, int] = {}
    revenue: dict[str, int] = {}
    for row in invoiced:
        by_kind[row.kind] = by_kind.get(row.kind, 0) + row.net_minor
        revenue[row.job] = revenue.get(row.job, 0) + row.net_minor
    costs: dict[str, Costs] = {}
    for entry in spent:
        costs[entry.job] = costs.get(entry.job, Costs()) + entry.costs
    by_job = {
        job: JobMonth(
            before=(before or {}).get(job, Margin(0, Costs())),
            month=Margin(revenue.get(job, 0), costs.get(job, Costs())),
            is_in_hand=job in in_hand,
        )
        for job in {**revenue, **costs}
    }
    spent_in_all = sum(costs.values(), Costs(supplies_minor=supplies_on_no_job_minor))
    total = Margin(sum(by_kind.values()), spent_in_all)
    rates = tax_sums(taxes)
    return MonthEnd(
        by_kind=by_kind,
        taxes=rates,
        by_job=by_job,
        all_jobs=total,
        hours=hours,
        stock=stock,
        faults=tuple(_faults(total.revenue_minor, rates, hours, stock, gross_minor)),
    )


def tax_sums(taxes: Iterable[TaxRow]) -> tuple[TaxRow, ...]:
    """One row for each kind of tax, rate and kind of line, in order of first mention."""
    sums: dict[tuple[str, int, str], TaxRow] = {}
    for row in taxes:
        key = (row.code, row.rate_thousandths, row.line_kind)
        so_far = sums.get(key, replace(row, basis_minor=0, tax_minor=0))
        basis, tax = so_far.basis_minor + row.basis_minor, so_far.tax_minor + row.tax_minor
        sums[key] = replace(so_far, basis_minor=basis, tax_minor=tax)
    return tuple(sums.values())


def _faults(
    net_minor: int, taxes: Sequence[TaxRow], hours: Hours, stock: StockSums, gross_minor: int | None
) -> list[str]:
    sentences = []
    if sum(row.basis_minor for row in taxes) != net_minor:
        sentences.append("The taxed amounts do not add up to the sales before tax.")
    if gross_minor is not None and net_minor + sum(row.tax_minor for row in taxes) != gross_minor:
        sentences.append("Sales before tax and tax do not add up to the invoice totals.")
    if stock.gap_minor:
        sentences.append("The closing stock value is not the opening value plus what came in, less what went out.")
    if hours.to_place_minutes < 0:
        sentences.append("More hours are clocked on cars than people were here. Check the day sheets.")
    return sentences
