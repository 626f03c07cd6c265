"""Pages about money: estimates, approvals, payers; invoices and payments."""

from shopbook.web.money.blueprint import blueprint
from shopbook.web.parts.pages import import_pages

__all__ = ["blueprint"]

import_pages(__name__, __path__)
