"""What a closing keeps of a month: its whole numbers by name, so that it can be read without its words."""

from collections.abc import Mapping
from dataclasses import fields

from shopbook.trade.billing.ageing import Ageing
from shopbook.trade.results.break_even import BreakEven, HouseCosts
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.month import Hours, MonthEnd, StockSums
from shopbook.trade.results.profit import MonthEarnings, StockLosses
from shopbook.trade.results.work_in_progress import WorkInProgress

_JOB, _MINOR = "work_job_", "_minor"


def month_numbers(figures: MonthEnd, owed: Ageing) -> dict[str, int]:
    """The month in minor units and minutes, by name: net, tax and cost, by kind, by rate, the hours, the shelf, what is
    owed. Of 1,000.00 invoiced: `{"net_minor": 100000, …}`."""
    found = {
        "net_minor": figures.net_minor,
        "tax_minor": figures.tax_minor,
        "gross_minor": figures.gross_minor,
        "cost_minor": figures.all_jobs.costs.total_minor,
        "owed_minor": owed.owed_minor,
        "on_account_minor": owed.on_account_minor,
    }
    found |= {f"net_{kind}_minor": minor for kind, minor in figures.by_kind.items()}
    for row in figures.taxes:
        name = f"tax_{row.code}_{row.rate_thousandths}"
        found |= {f"{name}_basis_minor": row.basis_minor, f"{name}_minor": row.tax_minor}
    return (
        found
        | _numbers("cost", figures.all_jobs.costs)
        | _numbers("hours", figures.hours)
        | _numbers("shelf", figures.stock)
    )


def profit_numbers(profit: MonthEarnings) -> dict[str, int]:
    """From sales to gross profit and what comes off it, by name: `{"gross_profit_minor": 64200, …}`."""
    found = {
        "jobs_invoiced": profit.jobs,
        "gross_profit_minor": profit.gross.margin_minor,
        "rework_minor": profit.rework_minor,
        "goodwill_minor": profit.goodwill_minor,
        "own_cars_minor": profit.own_cars_minor,
        "cancelled_minor": profit.cancelled_minor,
        "later_cost_minor": profit.later_minor,
    }
    return found | _numbers("of_sales", profit.costs) | _numbers("loss", profit.losses)


def left_numbers(even: BreakEven, house: HouseCosts, owner_labour_minor: int) -> dict[str, int]:
    """What is left of a month and what came off gross profit on the way there, by name; own pay where it is known."""
    found = {
        "wages_no_job_minor": house.wages_no_job_minor,
        "fixed_costs_minor": house.fixed_minor,
        "card_fees_minor": house.card_fees_minor,
        "owner_labour_minor": owner_labour_minor,
        "net_profit_minor": even.profit_minor,
        "hours_sold_minutes": even.minutes,
    }
    if even.own_pay_minor is not None and even.after_pay_minor is not None:
        found |= {"own_pay_minor": even.own_pay_minor, "after_pay_minor": even.after_pay_minor}
    return found


def kept_profit(numbers: Mapping[str, int]) -> tuple[int, int | None] | None:
    """Gross profit and net profit before tax of a closed month; None of a closing from before they were kept."""
    if "gross_profit_minor" not in numbers:
        return None
    return numbers["gross_profit_minor"], numbers.get("net_profit_minor")


def work_numbers(work: WorkInProgress) -> dict[str, int]:
    """The work in progress by name, and what each job carries over: `{"work_job_58_minor": 87647, …}`."""
    return {
        "work_opening_minor": work.opening_minor,
        "work_changed_minor": work.changed_minor,
        "work_added_minor": work.added_minor,
        "work_invoiced_minor": work.invoiced_minor,
        "work_cancelled_minor": work.cancelled_minor,
        "work_closing_minor": work.closing_minor,
        "work_finished_minor": work.closing_of(work.finished),
        "work_to_bill_minor": sum(work.to_bill.values()),
        **{f"{_JOB}{number}{_MINOR}": job.closing_minor for number, job in work.jobs.items() if job.closing_minor},
    }


def kept_work(numbers: Mapping[str, int]) -> dict[str, int] | None:
    """What each job carried out of a closed month, by number; None of a closing from before that was kept."""
    if "work_closing_minor" not in numbers:
        return None
    jobs = {name: minor for name, minor in numbers.items() if name.startswith(_JOB)}
    return {name.removeprefix(_JOB).removesuffix(_MINOR): minor for name, minor in jobs.items()}


def _numbers(before: str, kept: Costs | Hours | StockSums | StockLosses) -> dict[str, int]:
    return {f"{before}_{each.name}": getattr(kept, each.name) for each in fields(kept)}
