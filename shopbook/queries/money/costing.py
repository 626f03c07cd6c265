"""What the materials of a plan cost: at the shelf's prices, or by our guess where the shelf has none."""

from collections.abc import Mapping
from dataclasses import dataclass

from shopbook.models.jobs import StageUse
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.planning.shapes import DraftUse
from shopbook.trade.pricing.pack_guesses import guessed_cost
from shopbook.trade.stock.movements import Ratio


@dataclass(frozen=True, slots=True)
class Costing:
    """What materials cost: the shelf's prices by role, and our guess of a pack where the shelf has none."""

    prices: Mapping[str, tuple[str, Ratio]]
    catalogue: Catalogue
    door_rate_minor: int

    def is_known(self, use: StageUse | DraftUse) -> bool:
        """Whether the shelf has a price for it, in the unit that the plan counts in."""
        unit, price = self.prices.get(use.role, ("", Ratio()))
        return price.is_known and unit == use.unit

    def is_bought(self, role: str) -> bool:
        """Whether it is bought for one car, as colour is."""
        material = self.catalogue.materials.get(role)
        return material is not None and material.is_bought_for_job

    def cost_minor(self, use: StageUse | DraftUse) -> int:
        """What the planned amount costs, at the shelf's price or by our guess."""
        if self.is_known(use):
            return self.prices[use.role][1].of(use.amount_thousandths)
        material = self.catalogue.materials.get(use.role)
        pack = material.pack_thousandths if material else 1000
        return guessed_cost(use.role, use.amount_thousandths, pack, self.door_rate_minor)
