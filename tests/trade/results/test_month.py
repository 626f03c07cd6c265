"""The month: sums by kind, rate and job, and a sentence for each identity that does not hold."""

from dataclasses import replace

from shopbook.trade.billing import BillLine, LineKind, TaxRate, credit_rest, make_bill
from shopbook.trade.results.margin import Costs, Margin
from shopbook.trade.results.month import (
    Hours,
    InvoicedRow,
    MonthEnd,
    SpentRow,
    StockSums,
    TaxRow,
    month_end,
)

HOURS = Hours(here_minutes=9_600, on_cars_minutes=6_000, sold_minutes=6_600, paid_cost_minor=400_000)
STOCK = StockSums(
    opening_minor=100_000,
    began_minor=0,
    received_minor=50_300,
    corrected_minor=0,
    counted_up_minor=0,
    issued_to_jobs_minor=55_000,
    issued_to_supplies_minor=5_000,
    variance_minor=300,
    wasted_minor=1_000,
    counted_down_minor=500,
    closing_minor=88_500,
)
RATES = [TaxRate("S", "VAT", 20_000), TaxRate("R", "VAT low", 5_000)]
JOBS = {
    "1": make_bill(
        [BillLine(LineKind.LABOUR, "work", 50_001, "S"), BillLine(LineKind.PART, "grille", 999, "R")], RATES
    ),
    "2": make_bill([BillLine(LineKind.LABOUR, "work", 30_000, "S")], RATES, discount_minor=3_000),
}


def a_month(**changes: object) -> MonthEnd:
    invoiced, taxes = [], []
    for job, bill in JOBS.items():
        invoiced += [InvoicedRow(job, kind, net) for kind, net in bill.net_by_kind.items()]
        taxes += [
            TaxRow(row.rate.code, row.rate.name, row.rate.rate_thousandths, row.basis_minor, row.tax_minor)
            for row in bill.taxes
        ]
    spent = [
        SpentRow("1", Costs(20_000, 5_000, 700)),
        SpentRow("1", Costs(rework_minor=1_000)),
        SpentRow("old job", Costs(rework_minor=2_000)),
    ]
    rows: dict[str, object] = {
        "invoiced": invoiced,
        "taxes": taxes,
        "spent": spent,
        "hours": HOURS,
        "stock": STOCK,
        "gross_minor": sum(bill.gross_minor for bill in JOBS.values()),
    }
    return month_end(**{**rows, **changes})  # type: ignore[arg-type]


def test_the_month_adds_up_its_papers_and_costs() -> None:
    month = a_month()
    assert month.faults == ()
    assert month.by_kind == {LineKind.LABOUR: 80_001, LineKind.PART: 999, LineKind.DISCOUNT: -3_000}
    assert [(row.code, row.basis_minor, row.tax_minor) for row in month.taxes] == [
        ("S", 77_001, 15_400),
        ("R", 999, 50),
    ]
    assert month.gross_minor == sum(bill.gross_minor for bill in JOBS.values())


def test_the_margins_of_the_jobs_make_up_the_margin_of_the_month() -> None:
    month = a_month()
    assert {job: row.month.margin_minor for job, row in month.by_job.items()} == {
        "1": 24_300,
        "2": 27_000,
        "old job": -2_000,
    }
    assert sum(row.month.margin_minor for row in month.by_job.values()) == month.all_jobs.margin_minor


def test_a_job_brings_forward_what_earlier_months_left_of_it() -> None:
    month = a_month(before={"1": Margin(10_000, Costs(labour_minor=4_000))}, in_hand={"old job"})
    assert month.by_job["1"].whole.margin_minor == 24_300 + 6_000
    assert month.together.before.margin_minor == 6_000
    assert [job for job, row in month.by_job.items() if row.is_in_hand] == ["old job"]
    assert month.all_jobs.margin_minor == 24_300 + 27_000 - 2_000


def test_a_bill_and_its_full_credit_leave_nothing_in_the_month() -> None:
    bill = JOBS["1"]
    back = credit_rest(bill)
    invoiced = [InvoicedRow("1", kind, net) for kind, net in bill.net_by_kind.items()]
    invoiced += [InvoicedRow("1", kind, -net) for kind, net in back.net_by_kind(bill).items()]
    taxes = [TaxRow(row.rate.code, "", 0, row.basis_minor, row.tax_minor) for row in bill.taxes]
    taxes += [TaxRow(row.rate.code, "", 0, -row.basis_minor, -row.tax_minor) for row in back.taxes]
    month = a_month(invoiced=invoiced, taxes=taxes, gross_minor=0)
    assert (month.net_minor, month.tax_minor, month.faults) == (0, 0, ())


def test_the_people_of_an_hour_on_a_car_cost_what_all_paid_hours_cost() -> None:
    assert HOURS.people_minor == 4_000
    assert replace(HOURS, on_cars_minutes=0).people_minor is None
    assert (HOURS.to_place_minutes, HOURS.use_permille, HOURS.sold_permille) == (3_600, 625, 1_100)


def test_the_shop_floor_of_a_month_without_a_clock_on_a_car_is_in_its_cost_and_in_no_job() -> None:
    month = a_month(supplies_on_no_job_minor=4_200)
    assert month.supplies_on_no_job_minor == month.all_jobs.costs.supplies_minor == 4_200
    assert month.together.month.costs.supplies_minor == 0


def test_the_shelf_of_a_month_is_proved_with_its_adjustment_among_what_came_and_both_ways_of_using_it() -> None:
    assert (STOCK.came_minor, STOCK.issued_minor, STOCK.counted_minor) == (50_300, 60_000, -500)
    assert STOCK.gap_minor == 0


def test_a_month_without_anything_is_whole() -> None:
    month = month_end([], [], [], Hours(0, 0, 0, 0), StockSums(*[0] * 11), 0)
    assert (month.net_minor, month.faults, month.hours.use_permille, month.hours.sold_permille) == (0, (), None, None)


def test_each_broken_identity_is_a_sentence() -> None:
    assert "taxed amounts" in a_month(taxes=[], gross_minor=None).faults[0]
    assert "invoice totals" in a_month(gross_minor=1).faults[0]
    assert "closing stock value" in a_month(stock=replace(STOCK, closing_minor=0)).faults[0]
    assert "day sheets" in a_month(hours=replace(HOURS, on_cars_minutes=9_601)).faults[0]


def test_an_hour_of_people_is_all_paid_hours_over_the_hours_on_cars() -> None:
    """120.00 paid for while 1.5 hours were on cars is 80.00 an hour; with a single minute it is 7,200.00."""
    assert Hours(480, 90, 90, 12_000).people_minor == 8_000
    assert Hours(480, 1, 1, 12_000).people_minor == 720_000
    assert Hours(480, 0, 0, 12_000).people_minor is None
    assert Hours(480, 90, 90, 12_000).charged_minor == 0
