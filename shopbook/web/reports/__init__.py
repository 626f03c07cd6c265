"""Pages over all areas: today, the month end."""

from shopbook.web.reports import month
from shopbook.web.reports.blueprint import blueprint

__all__ = ["blueprint", "month"]
