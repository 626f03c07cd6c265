"""What people type for an amount of one material: packs with quarters, or an exact amount with its unit."""

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.measures.quantities import parse_quantity
from shopbook.trade.measures.units import Unit
from shopbook.web.parts.act import shop_now


def read_amount(text: str, unit: str, pack_thousandths: int, *, field: str | None = None) -> int:
    """Thousandths of the base unit: "380 ml" is that much; "2 packs", "¼ pack" are packs; a bare figure is the unit's.

    RuleBroken with a sentence.
    """
    plain, units = text.strip().lower(), shop_now().units
    for word in ("packs", "pack"):
        if plain.endswith(word):
            packs = parse_quantity(plain.removesuffix(word), Unit.ML, locale=units.locale, field=field)
            return divide_half_away(packs * pack_thousandths, 1000)
    amount = parse_quantity(text, units.shown(Unit(unit)), locale=units.locale, field=field)
    if amount == 0:
        raise RuleBroken("Enter a quantity greater than zero.", field)
    return amount
