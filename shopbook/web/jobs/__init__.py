"""Pages about jobs: the ledger, one job, the quick estimate, the plan, pictures; and the one search box."""

from shopbook.web.jobs.routes import blueprint
from shopbook.web.parts.pages import import_pages

__all__ = ["blueprint"]

import_pages(__name__, __path__)
