"""Pages about money: quotes, the two kinds of yes, payers; invoices and payments."""

from importlib import import_module

from shopbook.web.money.blueprint import blueprint

__all__ = ["blueprint"]

_PAGES = (
    "quotes",
    "quote_editing",
    "agreements",
    "readings",
    "extras",
    "payers",
    "invoices",
    "invoice_share",
    "line_matches",
    "payments",
    "corrections",
    "owed",
    "quick_job",
)

for _page in _PAGES:
    import_module(f"{__name__}.{_page}")
