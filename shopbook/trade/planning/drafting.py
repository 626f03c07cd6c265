"""Drafts the whole plan: the stages of the trade in order, shared where panels share them."""

from collections.abc import Sequence

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.planning.shapes import Car, Choices, Conditions, Damage, Draft


def draft_plan(
    catalogue: Catalogue, car: Car, damages: Sequence[Damage], conditions: Conditions, choices: Choices | None = None
) -> Draft:
    """The plan for all `damages` of one car on a day like `conditions`."""
    raise NotImplementedError
