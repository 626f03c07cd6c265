"""Pages about jobs: the ledger, one job, the kerb price, the plan, pictures; and the one search box."""

from shopbook.web.jobs.routes import blueprint

__all__ = ["blueprint"]
