"""Why a job fell short of its plan, in one sentence."""

from collections.abc import Callable, Sequence

from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.letters import upper_first
from shopbook.trade.results.waterfall import JobWaterfall, ProfitStep, StepCode

MOST = 2
"""A sentence with more reasons than these is not read."""

TELLING = 5
"""A second reason is named where it took at least a fifth of all that was lost."""

PHRASES = {
    StepCode.REWORK: "rework cost {amount}",
    StepCode.WHO: "the people who did it cost {amount} more than planned",
    StepCode.BOUGHT: "parts and {{colour}} cost {amount} more than planned",
    StepCode.MATERIAL_USE: "{amount} more material was used than planned",
    StepCode.MATERIAL_PRICE: "materials cost {amount} more than their price on the day of approval",
    StepCode.SUPPLIES: "{{supplies}} were {amount} more than planned",
}
SKILLS = {"body": "body", "paint": "paint", "detail": "detail"}


def cause_words(job: JobWaterfall, money: Callable[[int], str], say: Callable[[str], str]) -> str:
    """What took the profit of a job that fell short, the worst first: "3.7 hours more than planned ($119.00), mostly
    body, and an approved extra of $97.50 was not billed."; empty for one that did not.

    `money` writes minor units with the currency's sign, `say` a sentence of ours in the words of the country.
    """
    if job.waterfall.difference_minor >= 0:
        return _never_approved(job)
    phrases = [say(_phrase(step, job, money)) for step in _telling(job.waterfall.steps)]
    joint = ", and " if "," in phrases[0] else " and "
    return f"{upper_first(joint.join(phrases))}. {_never_approved(job)}".strip()


def _telling(steps: Sequence[ProfitStep]) -> list[ProfitStep]:
    """The steps that took most; a job that fell short has at least one."""
    lost = [step for step in steps if step.minor < 0]
    whole = sum(step.minor for step in lost)
    return [step for step in lost[:MOST] if step is lost[0] or step.minor * TELLING <= whole]


def _phrase(step: ProfitStep, job: JobWaterfall, money: Callable[[int], str]) -> str:
    amount = money(-step.minor)
    if step.code is StepCode.HOURS:
        return _hours(job, amount)
    if step.code is StepCode.PRICE:
        return _price(job, amount, money)
    return PHRASES[step.code].format(amount=amount)


def _hours(job: JobWaterfall, amount: str) -> str:
    """Hours beyond the plan, and the skill that more than half of them are of."""
    extra = job.waterfall.extra_minutes
    minutes = sum(extra.values())
    if minutes <= 0:
        return f"the hours cost {amount} more than planned"
    most = max(extra, key=lambda skill: extra[skill])
    mostly = f", mostly {SKILLS.get(most, most)}" if len(extra) > 1 and extra[most] * 2 > minutes else ""
    return f"{to_tenths(minutes).removesuffix(' h')} hours more than planned ({amount}){mostly}"


def _price(job: JobWaterfall, amount: str, money: Callable[[int], str]) -> str:
    """What was approved and is not billed, where that is what the price fell short by; else only by how much."""
    missed = sum(item.net_minor for item in job.unbilled)
    if not missed or missed != job.waterfall.planned.revenue_minor - job.waterfall.made.revenue_minor:
        return f"{amount} less was billed than approved"
    if len(job.unbilled) > 1:
        return f"approved work of {money(missed)} was not billed"
    what = "an approved extra" if job.unbilled[0].is_extra else "an approved item"
    return f"{what} of {money(missed)} was not billed"


def _never_approved(job: JobWaterfall) -> str:
    """Work that nobody approved is said, and is no step."""
    minutes = sum(each for _, each in job.never_approved)
    if not minutes:
        return ""
    what = f"on “{job.never_approved[0][0]}” " if len(job.never_approved) == 1 else ""
    return f"{to_tenths(minutes).removesuffix(' h')} hours {what}were worked without approval."
