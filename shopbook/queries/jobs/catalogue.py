"""The catalogue as it holds on a day, for whoever asks about jobs: the shop's own query."""

from shopbook.queries.shop.rates import catalogue_on

__all__ = ["catalogue_on"]
