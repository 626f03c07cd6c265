"""Pages about the shop itself: the first run, signing in, the floor's devices, people, settings, the log."""

from importlib import import_module

from shopbook.web.shop.routes import blueprint

__all__ = ["blueprint"]

_PAGES = (
    "account",
    "closed_days",
    "devices",
    "first_taxes",
    "guesses",
    "labour",
    "people",
    "places",
    "price_list",
    "settings",
    "sign_in",
    "standards",
    "start",
    "taxes",
)
"""The modules that hang their pages on the blueprint."""

for _page in _PAGES:
    import_module(f"{__name__}.{_page}")
