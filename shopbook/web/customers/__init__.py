"""Pages about customers and their vehicles, and the one search box."""

from shopbook.web.customers.routes import blueprint

__all__ = ["blueprint"]
