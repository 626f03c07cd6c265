"""Pages over all areas: today, the month end."""

from shopbook.web.reports import month, today
from shopbook.web.reports.blueprint import blueprint

__all__ = ["blueprint", "month", "today"]
