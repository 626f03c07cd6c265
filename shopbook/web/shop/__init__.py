"""Pages about the shop itself: the first run, signing in, the floor's devices, people, settings, the log."""

from shopbook.web.parts.pages import import_pages
from shopbook.web.shop.routes import blueprint

__all__ = ["blueprint"]

import_pages(__name__, __path__)
