"""Pages about the shelf: the sheet, one material, deliveries, counts, orders, suppliers, kept pots."""

from shopbook.web.parts.pages import import_pages
from shopbook.web.shelf.routes import blueprint

__all__ = ["blueprint"]

import_pages(__name__, __path__)
