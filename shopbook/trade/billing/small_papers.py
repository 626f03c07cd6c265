"""What a paper must carry by the sum of the work it is for: up to a limit of the country it needs no customer.

The sum is that of the whole job with tax, for that is what the customer is supplied with: a deposit invoice of 100.00
for work of 1,500.00 is a paper for 1,500.00.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True)
class SmallPapers:
    """The rule of a country, in whole units of its own currency, with tax.

    A paper for `up_to` is small, one for more is not; where the law says "under", `is_below` leaves the limit itself
    out. Beyond it the paper carries what of the customer is in `asks`: "name", "address". From `number_from` on it
    carries the shop's tax number; without it (Germany) a small paper needs none. `source` is where it was read,
    `read_on` when.
    """

    currency: str
    up_to: int
    is_below: bool
    asks: tuple[str, ...]
    source: str
    read_on: date
    number_from: int | None = None

    def is_small(self, gross_minor: int, places: int) -> bool:
        """Whether work of that sum needs no customer on its paper: 250.00 in Britain, and 499.99 but not 500.00 in
        Canada."""
        limit: int = self.up_to * 10**places
        return gross_minor < limit if self.is_below else gross_minor <= limit

    def wants_number(self, gross_minor: int, places: int) -> bool:
        """Whether its paper carries the shop's tax number, where it charges tax: in Canada from 100.00 on, in Germany
        over 250.00."""
        if self.number_from is None:
            return not self.is_small(gross_minor, places)
        limit: int = self.number_from * 10**places
        return gross_minor >= limit

    def missing(self, gross_minor: int, places: int, known: Mapping[str, str]) -> tuple[str, ...]:
        """What of the customer is still to be asked, of what is `known` by "name" and "address"; nothing for a small
        paper."""
        if self.is_small(gross_minor, places):
            return ()
        return tuple(each for each in self.asks if not known.get(each, "").strip())


def read_small_papers(told: Mapping[str, Any] | None, currency: str) -> SmallPapers | None:
    """The rule as a country's file tells it; None where it tells none."""
    if told is None:
        return None
    return SmallPapers(currency=currency, **{**told, "asks": tuple(told["asks"])})
