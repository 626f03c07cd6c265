"""Pages over all areas: today, the month end, air and waste."""

from shopbook.web.reports import air, dated_papers, month, month_money, tax, today, worst
from shopbook.web.reports.blueprint import blueprint

__all__ = ["air", "blueprint", "dated_papers", "month", "month_money", "tax", "today", "worst"]
