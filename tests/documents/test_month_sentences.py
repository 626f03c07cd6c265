"""The three sentences of a month, the way from sales to what is left, and work in progress as they are printed."""

import pytest

from shopbook.documents.month import profit, work_in_progress
from shopbook.documents.month.sentences import Shortfalls, WhatIsLeft, sentence_text, three_sentences
from shopbook.documents.month.wording import MonthWording
from shopbook.trade.measures.amounts import format_minor
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.profit import MonthEarnings, StockLosses, month_profit
from shopbook.trade.results.work_in_progress import WorkInProgress
from tests.trade.results.test_work_in_progress import november


def dollars(minor: int) -> str:
    return f"{'−' if minor < 0 else ''}${format_minor(abs(minor), 2)}"


SAYS = MonthWording(
    month="November",
    next_month="December",
    first="November 1",
    last="November 30",
    money=lambda minor: format_minor(minor, 2),
    sum_of=dollars,
    say=lambda sentence: sentence.format(Labour="Labor", supplies="shop supplies", Cancelled="Canceled"),
)
WORK = WorkInProgress(november().jobs, {"C": 62_000})
EARNED = month_profit(115_000, WORK.jobs.values(), StockLosses(wasted_minor=1_200, counted_minor=-300))


def said(left: WhatIsLeft | None, earned: MonthEarnings, short: Shortfalls | None, work: WorkInProgress) -> list[str]:
    return [sentence_text(sentence) for sentence in three_sentences(left, earned, short, work, SAYS)]


def test_three_sentences_say_what_is_left_what_was_earned_and_what_is_carried_on() -> None:
    earned = MonthEarnings(sales_minor=2_938_940, jobs=17, costs=Costs(labour_minor=1_404_951))
    assert said(WhatIsLeft(502_634, -270_166, "Noor’s"), earned, Shortfalls(4, 62_180), WORK) == [
        "$5,026.34 is left of November after all wages and fixed costs, "
        "$2,701.66 short once Noor’s own pay is taken off.",
        "The 17 jobs invoiced made a gross profit of $15,339.89, 52.2 %, "
        "and four of them fell short of plan, total $621.80.",
        "Two cars not invoiced yet carry $640.00 of cost into December, and one of them is finished.",
    ]


@pytest.mark.parametrize(
    ("before", "after", "sentence"),
    [
        (
            -100,
            -500,
            "November is $1.00 short after all wages and fixed costs, "
            "and $5.00 short once Noor’s own pay is taken off.",
        ),
        (
            900,
            400,
            "$9.00 is left of November after all wages and fixed costs, and $4.00 once Noor’s own pay is taken off.",
        ),
        (900, None, "$9.00 is left of November after all wages and fixed costs."),
    ],
)
def test_what_is_left_is_said_above_and_below_zero(before: int, after: int | None, sentence: str) -> None:
    assert said(WhatIsLeft(before, after, "Noor’s"), EARNED, None, WORK)[0] == sentence


@pytest.mark.parametrize(
    ("jobs", "short", "end"),
    [
        (1, Shortfalls(1, 1_000), ", $10.00 less than planned."),
        (1, Shortfalls(0, 0), ", no less than planned."),
        (5, Shortfalls(0, 0), ", and none fell short of plan."),
        (5, Shortfalls(1, 1_000), ", and one of them fell short of plan by $10.00."),
        (5, None, "60.0 %."),
    ],
)
def test_how_many_fell_short_of_plan_is_said_of_one_and_of_many(jobs: int, short: Shortfalls | None, end: str) -> None:
    earned = MonthEarnings(100_000, jobs, Costs(parts_minor=40_000))
    assert said(None, earned, short, WORK)[0].endswith(end)


def test_a_month_without_an_invoice_a_loss_and_no_car_left_are_said_plainly() -> None:
    empty = WorkInProgress({})
    assert said(None, MonthEarnings(0, 0, Costs()), None, empty) == [
        "No job was invoiced in November.",
        "Every car is invoiced: no cost is carried into December.",
    ]
    loss = said(None, MonthEarnings(1_000, 1, Costs(parts_minor=1_500)), None, empty)[0]
    assert loss == "The one job invoiced made a loss of $5.00, −50.0 %."


def test_each_row_takes_something_off_the_one_above_it() -> None:
    """1,150.00 − 508.00 = 642.00; then 118.00, 70.00, 24.00 and what the shelf lost."""
    rows = {row.code: row for row in profit.section(EARNED, SAYS).rows}
    assert [(code, row.figures[0]) for code, row in rows.items()] == [
        ("sales", "1,150.00"),
        ("labour", "−508.00"),
        ("materials", "0.00"),
        ("bought", "0.00"),
        ("gross_profit", "642.00"),
        ("rework", "−118.00"),
        ("cancelled", "−70.00"),
        ("later_cost", "−24.00"),
        ("losses", "−9.00"),
    ]
    assert (rows["sales"].below, rows["gross_profit"].below) == ("1 job", "55.8 %")
    assert (rows["labour"].label, rows["losses"].below) == ("Labor on these jobs", "waste 12.00 · counts −3.00")


def test_work_in_progress_goes_from_the_first_day_to_the_last_and_names_what_is_to_be_billed() -> None:
    movement, state, by_job = work_in_progress.sections(WORK, SAYS)
    assert [(row.label, row.figures[0]) for row in movement.rows] == [
        ("November 1, 1 car", "340.00"),
        ("Added in November", "878.00"),
        ("Invoiced", "−508.00"),
        ("Canceled, 1 job", "−70.00"),
    ]
    assert movement.total is not None
    assert (movement.total.label, movement.total.figures) == ("November 30, 2 cars", ("640.00",))
    assert [(row.label, row.figures[0], row.below) for row in state.rows] == [
        ("In work, 1 car", "385.00", ""),
        ("Finished, not invoiced: 1 car", "255.00", ""),
        ("To be billed, before tax", "620.00", "C: 620.00"),
    ]
    assert (by_job.rows[0].label, by_job.rows[0].figures) == ("A", ("340.00", "168.00", "−508.00", "0.00"))
    assert by_job.total is not None
    assert by_job.total.figures == ("340.00", "878.00", "−578.00", "640.00")
