"""Worst jobs first: each job's profit as planned and as made, why it fell short, and its steps."""

from collections.abc import Callable, Mapping, Sequence

from shopbook.documents.month.causes import cause_words
from shopbook.documents.month.section import Section, SectionRow
from shopbook.trade.results.margin import share_words
from shopbook.trade.results.waterfall import JobWaterfall, StepCode
from shopbook.trade.results.worst_jobs import InvoicedJob, short_jobs, sum_short

STEP_WORDS = {
    StepCode.HOURS: "Hours",
    StepCode.PRICE: "Price",
    StepCode.REWORK: "Rework",
    StepCode.WHO: "Who did it",
    StepCode.BOUGHT: "Parts, {colour}",
    StepCode.MATERIAL_USE: "Material used",
    StepCode.MATERIAL_PRICE: "Material prices",
    StepCode.SUPPLIES: "{Supplies}",
}
RECONSTRUCTED = "What was planned is reconstructed from the plan of the day of the approval."
SOME_RECONSTRUCTED = "Of some of these jobs what was planned is reconstructed from the plan of the day of the approval."


def worst_section(
    jobs: Sequence[InvoicedJob],
    cars: Mapping[str, str],
    money: Callable[[int], str],
    plain: Callable[[int], str],
    say: Callable[[str], str],
) -> Section:
    """The jobs that fell short of plan: gross profit in percent as planned and as made, and by how much it fell short.

    `jobs` are the month's, worst first, `cars` by number; `money` writes minor units with the sign, `plain` without.
    """
    short, sums = short_jobs(jobs), sum_short(jobs)
    total = SectionRow("total", "Total", ("", "", plain(sums.total_minor))) if short else None
    note = SOME_RECONSTRUCTED if any(job.result.is_reconstructed for job in short) else ""
    return Section(
        "worst_jobs",
        "Worst jobs first",
        tuple(_row(job, cars, money, plain, say) for job in short),
        total,
        ("Planned", "Made", "Short"),
        note,
        f"{sums.short} of {sums.jobs} jobs fell short of plan, total {money(sums.total_minor)}" if short else "",
    )


def _row(
    job: InvoicedJob,
    cars: Mapping[str, str],
    money: Callable[[int], str],
    plain: Callable[[int], str],
    say: Callable[[str], str],
) -> SectionRow:
    steps, number = job.result.waterfall, str(job.number)
    shares = (share_words(steps.planned.share_permille), share_words(steps.made.share_permille))
    label = f"{number} · {cars[number]}" if cars.get(number) else number
    return SectionRow(number, label, (*shares, plain(job.short_minor)), cause_words(job.result, money, say))


def steps_section(
    job: JobWaterfall, money: Callable[[int], str], plain: Callable[[int], str], say: Callable[[str], str]
) -> Section:
    """One job from the profit that was planned to the profit that was made; its steps sum to the minor unit."""
    steps = job.waterfall
    first = SectionRow("planned", "Planned", (plain(steps.planned.margin_minor),))
    rows = [
        SectionRow(step.code.value, say(STEP_WORDS[step.code]), (_signed(step.minor, plain),)) for step in steps.steps
    ]
    return Section(
        "waterfall",
        "From planned to made",
        (first, *rows),
        SectionRow("made", "Made", (plain(steps.made.margin_minor),)),
        note=" ".join(filter(None, (cause_words(job, money, say), RECONSTRUCTED if job.is_reconstructed else ""))),
    )


def _signed(minor: int, plain: Callable[[int], str]) -> str:
    return f"+{plain(minor)}" if minor > 0 else plain(minor)
