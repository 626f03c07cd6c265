"""The shelf: materials, lots, the stock ledger, deliveries, counts and orders."""

from shopbook.models.shelf.counts import CountLine, StockCount
from shopbook.models.shelf.deliveries import Delivery, DeliveryLine, DeliveryPrice, Lot
from shopbook.models.shelf.materials import Material, Movement, Pot, Supplier
from shopbook.models.shelf.orders import OrderLine, SupplyOrder

__all__ = [
    "CountLine",
    "Delivery",
    "DeliveryLine",
    "DeliveryPrice",
    "Lot",
    "Material",
    "Movement",
    "OrderLine",
    "Pot",
    "StockCount",
    "Supplier",
    "SupplyOrder",
]
