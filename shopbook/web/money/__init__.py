"""Pages about money: quotes, the two kinds of yes, payers; invoices and payments."""

from shopbook.web.money.blueprint import blueprint
from shopbook.web.parts.pages import import_pages

__all__ = ["blueprint"]

import_pages(__name__, __path__)
