"""Pages over all areas: today, the month end, tables for the accountant, air and waste."""

from shopbook.web.reports import accountant, air, dated_papers, month, month_money, tax, today, worst
from shopbook.web.reports.blueprint import blueprint

__all__ = ["accountant", "air", "blueprint", "dated_papers", "month", "month_money", "tax", "today", "worst"]
