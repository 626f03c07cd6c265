"""Pages about money: quotes, the two kinds of yes, payers; invoices and payments."""

from importlib import import_module
from importlib.util import find_spec

from shopbook.web.money.blueprint import blueprint

__all__ = ["blueprint"]

_PAGES = (
    "quotes",
    "quote_editing",
    "agreements",
    "extras",
    "payers",
    "invoices",
    "payments",
    "corrections",
    "owed",
    "quick_job",
)

for _page in _PAGES:
    if find_spec(f"{__name__}.{_page}"):
        import_module(f"{__name__}.{_page}")
