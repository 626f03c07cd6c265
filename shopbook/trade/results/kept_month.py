"""What a closing keeps of a month: its whole numbers by name, so that it can be read without its words."""

from dataclasses import fields

from shopbook.trade.billing.ageing import Ageing
from shopbook.trade.results.margin import Costs
from shopbook.trade.results.month import Hours, MonthEnd, StockSums


def month_numbers(figures: MonthEnd, owed: Ageing) -> dict[str, int]:
    """The month in minor units and minutes, by name: net, tax and cost, by kind, by rate, the hours, the shelf, what is
    owed. Of 1,000.00 invoiced: `{"net_minor": 100000, …}`."""
    found = {
        "net_minor": figures.net_minor,
        "tax_minor": figures.tax_minor,
        "gross_minor": figures.gross_minor,
        "cost_minor": figures.all_jobs.costs.total_minor,
        "margin_minor": figures.all_jobs.margin_minor,
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


def _numbers(before: str, kept: Costs | Hours | StockSums) -> dict[str, int]:
    return {f"{before}_{each.name}": getattr(kept, each.name) for each in fields(kept)}
