"""What work is priced at: quoted items with their lines, the shop's price list, and what exceeds an approval."""

from shopbook.trade.pricing.agreed import Allowance, Beyond, beyond_agreed
from shopbook.trade.pricing.lines import (
    QuoteRates,
    price_fee,
    price_labour,
    price_materials,
    price_part,
    price_sublet,
)
from shopbook.trade.pricing.listed import bill_from_price, price_from_hours, round_to_step
from shopbook.trade.pricing.materials import MaterialsRates, MaterialsRule, PaintWork, marked_up, typed_hours
from shopbook.trade.pricing.priced import PricedQuote, share_of
from shopbook.trade.pricing.quotes import PricedGroup, QuoteSum, sum_quote
from shopbook.trade.pricing.savings import PaintedItem, SavingTerms, further_savings

__all__ = [
    "Allowance",
    "Beyond",
    "MaterialsRates",
    "MaterialsRule",
    "PaintWork",
    "PaintedItem",
    "PricedGroup",
    "PricedQuote",
    "QuoteRates",
    "QuoteSum",
    "SavingTerms",
    "beyond_agreed",
    "bill_from_price",
    "further_savings",
    "marked_up",
    "price_fee",
    "price_from_hours",
    "price_labour",
    "price_materials",
    "price_part",
    "price_sublet",
    "round_to_step",
    "share_of",
    "sum_quote",
    "typed_hours",
]
