"""Pages about jobs: the ledger, one job, the kerb price, the plan, pictures; and the one search box."""

from importlib import import_module

from shopbook.web.jobs.routes import blueprint

__all__ = ["blueprint"]

_PAGES = (
    "comebacks",
    "damage",
    "desk",
    "kerb",
    "parts",
    "pictures",
    "plan",
    "replacing",
    "show",
    "versions",
    "visits",
    "what_if",
    "whose",
)
"""The modules that hang their pages on the blueprint."""

for _page in _PAGES:
    import_module(f"{__name__}.{_page}")
