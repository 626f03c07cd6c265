"""Stock is counted; the difference to the book becomes a movement."""

from collections.abc import Sequence
from dataclasses import replace

from shopbook.models.shelf import CountLine, Material, Movement, StockCount
from shopbook.queries.shelf.lots import lots_left
from shopbook.queries.shelf.materials import get_material
from shopbook.services.act import Act
from shopbook.services.postings import Source, post_stock, stock_of, write_log
from shopbook.services.shelf.lots import begin_lot
from shopbook.services.shelf.stock import price_of, take_down
from shopbook.trade.errors import RuleBroken
from shopbook.trade.stock import average_cost


def count_materials(act: Act, seen: Sequence[tuple[int, int]], *, reason: str = "") -> StockCount:
    """Take down what was seen, as (material id, thousandths) pairs; only what was looked at is in it.

    The first count of a material finds what was there when the book began; any later difference is a count up or down.
    RuleBroken for nothing counted, a negative count, or a material named twice.
    """
    if not seen:
        raise RuleBroken("Nothing was counted. Count at least one material.")
    if len({material_id for material_id, _ in seen}) != len(seen):
        raise RuleBroken("One material was counted twice. Enter it once.")
    count = StockCount(at=act.moment, on=act.day, person_id=act.actor.person_id)
    act.session.add(count)
    act.session.flush()
    for material_id, thousandths in seen:
        _count(act, count, get_material(act.session, material_id), thousandths, reason)
    words = f"Counted {len(seen)} material{'s' if len(seen) != 1 else ''}"
    write_log(act, "count_materials", "stock_count", count.id, words)
    return count


def _count(act: Act, count: StockCount, material: Material, seen: int, reason: str) -> None:
    book = material.on_hand_thousandths
    lines = _post(act, material, seen, reason)
    act.session.add(
        CountLine(
            count_id=count.id,
            material_id=material.id,
            seen_thousandths=seen,
            book_thousandths=book,
            movement_id=lines[0].id if lines else None,
        )
    )
    material.is_counted = True
    material.needs_count = False
    if seen == 0:
        for left in lots_left(act.session, material, count.on):
            left.lot.gone_on = count.on
    act.session.flush()


def _post(act: Act, material: Material, seen: int, reason: str) -> list[Movement]:
    if seen < 0:
        raise RuleBroken("A count cannot be negative. Enter 0 or more.", "seen")
    source = Source(reason=reason or "stock count")
    difference = seen - material.on_hand_thousandths
    if difference < 0:
        return take_down(act, material, -difference, source)
    if difference > 0 and not material.is_counted:
        return _open(act, material, seen, difference, source)
    return post_stock(act, material, average_cost.count(stock_of(material), seen, price_of(material)), source)


def _open(act: Act, material: Material, seen: int, found: int, source: Source) -> list[Movement]:
    """What was there when the book began is a lot of its own; what was used before the first count is in no lot.

    300 ml used of a book that held nothing, then 1,000 ml seen: 300 ml of no lot, and a lot of 1,000 ml.
    """
    value = price_of(material).of(found)
    used_before = max(found - seen, 0)
    covered = price_of(material).of(used_before)
    lines: list[Movement] = []
    if used_before:
        lines += post_stock(act, material, average_cost.open_with(stock_of(material), used_before, covered), source)
    if held := found - used_before:
        lot = begin_lot(act, material, on=act.day)
        outcome = average_cost.open_with(stock_of(material), held, value - covered)
        lines += post_stock(act, material, outcome, replace(source, lot_id=lot.id if lot else None))
    return lines
