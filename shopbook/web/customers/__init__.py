"""Pages about customers and their vehicles, and the one search box."""

from shopbook.web.customers.routes import blueprint
from shopbook.web.parts.pages import import_pages

__all__ = ["blueprint"]

import_pages(__name__, __path__)
