"""The month's worst jobs in words: why each fell short, in one sentence, and its steps."""

from dataclasses import replace

import pytest

from shopbook.documents.month.causes import cause_words
from shopbook.documents.month.worst import RECONSTRUCTED, steps_section, worst_section
from shopbook.trade.countries import known_country
from shopbook.trade.results.margin import Costs, Margin
from shopbook.trade.results.waterfall import JobWaterfall, ProfitStep, StepCode, UnbilledItem, Waterfall
from shopbook.trade.results.worst_jobs import InvoicedJob, sum_short, worst_first
from tests.makers.worked_job import worked_job

US = known_country("us")


def plain(minor: int) -> str:
    return US.money(minor, has_symbol=False)


def cause(job: JobWaterfall) -> str:
    return cause_words(job, US.money, US.say)


def fallen(*steps: tuple[StepCode, int], **extra: int) -> JobWaterfall:
    """A job that fell short by these steps, with so many minutes beyond the plan by skill."""
    rows = tuple(ProfitStep(*each) for each in sorted(steps, key=lambda each: each[1]))
    lost = sum(step.minor for step in rows)
    return JobWaterfall(1, Waterfall(Margin(100000, Costs()), Margin(100000 + lost, Costs()), rows, extra))


def test_the_worked_example_says_its_two_worst_reasons() -> None:
    assert cause(worked_job()) == (
        "3.7 hours more than planned ($119.00), mostly body, and an approved extra of $97.50 was not billed."
    )


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (StepCode.PRICE, "$60.00 less was billed than approved."),
        (StepCode.REWORK, "Rework cost $60.00."),
        (StepCode.WHO, "The people who did it cost $60.00 more than planned."),
        (StepCode.BOUGHT, "Parts and color cost $60.00 more than planned."),
        (StepCode.MATERIAL_USE, "$60.00 more material was used than planned."),
        (StepCode.MATERIAL_PRICE, "Materials cost $60.00 more than their price on the day of approval."),
        (StepCode.SUPPLIES, "Shop supplies were $60.00 more than planned."),
        (StepCode.HOURS, "The hours cost $60.00 more than planned."),
    ],
)
def test_every_reason_has_its_words(code: StepCode, words: str) -> None:
    assert cause(fallen((code, -6000))) == words


def test_a_second_reason_is_named_only_where_it_took_a_fifth_of_what_was_lost() -> None:
    assert cause(fallen((StepCode.REWORK, -8000), (StepCode.WHO, -1999))) == "Rework cost $80.00."
    assert cause(fallen((StepCode.REWORK, -8000), (StepCode.WHO, -2000))) == (
        "Rework cost $80.00 and the people who did it cost $20.00 more than planned."
    )


def test_hours_of_one_skill_or_of_two_alike_are_mostly_of_none() -> None:
    assert cause(fallen((StepCode.HOURS, -6000), body=120)) == "2.0 hours more than planned ($60.00)."
    assert cause(fallen((StepCode.HOURS, -6000), body=60, paint=60)) == "2.0 hours more than planned ($60.00)."


def test_several_approved_items_not_billed_are_said_in_sum() -> None:
    missed = (UnbilledItem("Door", 4000, is_extra=False), UnbilledItem("Arch", 2000, is_extra=True))
    job = replace(fallen((StepCode.PRICE, -6000)), unbilled=missed)
    assert cause(job) == "Approved work of $60.00 was not billed."
    assert cause(replace(job, unbilled=missed[:1])) == "$60.00 less was billed than approved."


def test_work_that_nobody_approved_is_a_sentence_and_no_step() -> None:
    job = worked_job(never_approved=(("Guide coat, block", 72),))
    assert cause(job).endswith("was not billed. 1.2 hours on “Guide coat, block” were worked without approval.")
    both = worked_job(never_approved=(("Guide coat, block", 72), ("Wax", 30)))
    assert cause(both).endswith("1.7 hours were worked without approval.")


def test_a_job_that_made_its_plan_has_no_cause() -> None:
    assert cause(worked_job(invoiced_minor=200000)) == ""


def test_the_worst_job_is_first_and_only_those_short_of_plan_stand_in_the_list() -> None:
    good, bad = InvoicedJob(50, worked_job(200000)), InvoicedJob(49, worked_job())
    worse = InvoicedJob(51, worked_job(100000))
    jobs = worst_first([good, bad, worse])
    assert [job.number for job in jobs] == [51, 49, 50]
    found = worst_section(jobs, {"49": "2010 hatchback"}, US.money, plain, US.say)
    assert [row.label for row in found.rows] == ["51", "49 · 2010 hatchback"]
    assert found.rows[1].figures == ("56.6 %", "34.3 %", "346.30")
    assert found.total is not None
    assert found.total.figures[-1] == "995.10"
    assert found.about == "2 of 3 jobs fell short of plan, total $995.10"
    sums = sum_short(jobs)
    assert (sums.jobs, sums.short, sums.total_minor) == (3, 2, 34630 + 64880)


def test_no_job_fell_short_is_a_list_of_none() -> None:
    found = worst_section([InvoicedJob(50, worked_job(200000))], {}, US.money, plain, US.say)
    assert (found.rows, found.total, found.about) == ((), None, "")


def test_the_steps_of_a_job_go_from_planned_to_made() -> None:
    found = steps_section(worked_job(), US.money, plain, US.say)
    assert [(row.label, row.figures[0]) for row in found.rows] == [
        ("Planned", "793.00"),
        ("Hours", "−119.00"),
        ("Price", "−97.50"),
        ("Rework", "−69.00"),
        ("Who did it", "−28.20"),
        ("Parts, color", "−16.00"),
        ("Material used", "−10.20"),
        ("Material prices", "−3.50"),
        ("Shop supplies", "−2.90"),
    ]
    assert found.total is not None
    assert found.total.figures == ("446.70",)


def test_a_plan_that_was_reconstructed_is_said_to_be() -> None:
    found = steps_section(worked_job(is_reconstructed=True), US.money, plain, US.say)
    assert found.note.endswith(RECONSTRUCTED)
    month = worst_section([InvoicedJob(49, worked_job(is_reconstructed=True))], {}, US.money, plain, US.say)
    assert "reconstructed" in month.note
