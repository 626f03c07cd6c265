"""The shop's price list is changed as one sheet: all prices that were typed in one act, refused where it is stale."""

from datetime import date

from shopbook.queries.shop.prices import price_list_revision
from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.act import Act
from shopbook.services.shop.rates import set_standards
from shopbook.trade.catalogue.entries import EntryKind
from shopbook.trade.errors import Conflict
from shopbook.trade.planning.price_grid import Changes, changed_bodies, joined_list


def set_prices(act: Act, changes: Changes, from_on: date, *, revision: int, words: str = "") -> int:
    """These prices are the shop's own from a day on; answers how many. One act, one line in the log, nothing for none.

    `words` say what was done, where it was not typed one by one ("All prices +5 %"). Conflict where somebody saved the
    list after `revision` was read; RuleBroken into a closed month.
    """
    if price_list_revision(act.session) != revision:
        raise Conflict("Someone changed the price list meanwhile. Open it again and enter your changes there.")
    if changes:
        bodies = changed_bodies(catalogue_on(act.session, from_on).prices, changes)
        said = words or f"Changed {len(changes)} price{'s' if len(changes) != 1 else ''}"
        keyed = {(EntryKind.PRICE.value, code): body for code, body in bodies.items()}
        set_standards(act, keyed, from_on, f"{said} from {from_on.isoformat()}")
    return len(changes)


def join_sides(act: Act, hour_minor: int, side: str, *, revision: int) -> int:
    """Left and right are priced as one from today, at the prices of `side`; else as `set_prices`."""
    changes = joined_list(catalogue_on(act.session, act.day).prices, hour_minor, side)
    return set_prices(act, changes, act.day, revision=revision, words=f"Used the {side} prices for both sides")
