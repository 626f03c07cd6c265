"""Pages about the shelf: the sheet, one material, deliveries, counts, orders, suppliers, kept pots."""

from importlib import import_module

from shopbook.web.shelf.routes import blueprint

__all__ = ["blueprint"]

_PAGES = ("materials", "moves", "deliveries", "counts", "orders", "suppliers", "pots")
"""The modules that hang their pages on the blueprint."""

for _page in _PAGES:
    import_module(f"{__name__}.{_page}")
