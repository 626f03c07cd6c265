"""What a closing keeps of a month is every figure of it, as a whole number by name."""

from datetime import date

from shopbook.trade.billing import LineKind
from shopbook.trade.billing.ageing import owed_by_age
from shopbook.trade.results.kept_month import kept_work, month_numbers, profit_numbers, work_numbers
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.month import Hours, InvoicedRow, SpentRow, StockSums, TaxRow, month_end
from shopbook.trade.results.profit import month_profit
from shopbook.trade.results.work_in_progress import WorkInProgress
from tests.trade.results.test_work_in_progress import november

SUMS = ("net_minor", "tax_minor", "gross_minor", "cost_minor")
SHELF = StockSums(100, 0, 50, 0, 0, 30, 10, 0, 0, 0, 110)


def test_every_figure_is_kept_by_its_name() -> None:
    figures = month_end(
        [InvoicedRow("1", LineKind.LABOUR, 100_000), InvoicedRow("1", LineKind.PART, 20_000)],
        [TaxRow("vat", "VAT", 20_000, 120_000, 24_000)],
        [SpentRow("1", Costs(labour_minor=30_000, parts_minor=15_000))],
        Hours(600, 480, 420, 19_000),
        SHELF,
        144_000,
    )
    numbers = month_numbers(figures, owed_by_age([], date(2026, 10, 31)))
    assert {name: numbers[name] for name in ("net_minor", "tax_minor", "gross_minor", "cost_minor")} == {
        "net_minor": 120_000,
        "tax_minor": 24_000,
        "gross_minor": 144_000,
        "cost_minor": 45_000,
    }
    assert (numbers["net_labour_minor"], numbers["net_part_minor"]) == (100_000, 20_000)
    assert (numbers["tax_vat_20000_basis_minor"], numbers["tax_vat_20000_minor"]) == (120_000, 24_000)
    assert (numbers["cost_parts_minor"], numbers["hours_here_minutes"], numbers["shelf_closing_minor"]) == (
        15_000,
        600,
        110,
    )


def test_a_closing_keeps_gross_profit_and_what_each_job_carries_over() -> None:
    work = WorkInProgress(november().jobs, {"C": 62_000})
    numbers = profit_numbers(month_profit(115_000, work.jobs.values())) | work_numbers(work)
    assert (numbers["gross_profit_minor"], numbers["of_sales_labour_minor"], numbers["jobs_invoiced"]) == (
        64_200,
        50_800,
        1,
    )
    assert (numbers["rework_minor"], numbers["cancelled_minor"], numbers["later_cost_minor"]) == (11_800, 7_000, 2_400)
    assert (numbers["work_closing_minor"], numbers["work_finished_minor"], numbers["work_to_bill_minor"]) == (
        64_000,
        25_500,
        62_000,
    )
    assert kept_work(numbers) == {"B": 38_500, "C": 25_500}
    assert kept_work({"net_minor": 115_000}) is None
