"""The shelf's sheet; the blueprint on which the area's other modules hang their pages, and the words they share."""

from flask import Blueprint, g, render_template, request, url_for

from shopbook.queries.shelf.lots import LotLeft, expiring_among
from shopbook.queries.shelf.needing import jobs_served, sort_rows
from shopbook.queries.shelf.orders import late_among
from shopbook.queries.shelf.sheet import list_shelf, read_shelf
from shopbook.trade.measures.quantities import format_quantity, pack_words, quarter_words
from shopbook.trade.measures.units import Unit
from shopbook.trade.stock.movements import MovementKind
from shopbook.trade.stock.reorder import ReorderState
from shopbook.web.parts.act import reader, shop_now, today
from shopbook.web.parts.frame import day_text
from shopbook.web.parts.guards import needs

blueprint = Blueprint("shelf", __name__, url_prefix="/shelf")

KIND_WORDS = {
    MovementKind.OPENED: "first count",
    MovementKind.RECEIVED: "delivered",
    MovementKind.RETURNED_TO_SUPPLIER: "returned to the supplier",
    MovementKind.ISSUED: "used",
    MovementKind.RETURNED_FROM_STAGE: "put back",
    MovementKind.WASTED: "waste",
    MovementKind.COUNTED_UP: "counted more",
    MovementKind.COUNTED_DOWN: "counted less",
    MovementKind.PRICE_CORRECTED: "price corrected",
    MovementKind.TRUE_UP: "cost of what was used before it came",
    MovementKind.VARIANCE: "price difference",
}
STATE_TAGS = {ReorderState.SHORT: "late", ReorderState.ORDER_SOON: "warn", ReorderState.ENOUGH: "good"}


def quantity(thousandths: int, unit: str) -> str:
    """An amount that is stored in a base unit, in the unit that the shop reads."""
    if "shelf_units" not in g:
        g.shelf_units = shop_now().units
    return format_quantity(thousandths, g.shelf_units.shown(Unit(unit)), locale=g.shelf_units.locale)


def lot_words(one: LotLeft) -> str:
    """A batch in words: its number or the day it came, and its use-by date."""
    name = one.lot.mark or ("opening stock" if one.lot.is_opening_stock else f"of {day_text(one.lot.received_on)}")
    return f"{name}, use by {day_text(one.good_till)}" if one.good_till else name


def job_url(job_id: int) -> str | None:
    """Where a job is shown, for who may see it."""
    return url_for("jobs.by_id", job_id=job_id) if g.actor.may("jobs", "see") else None


@blueprint.context_processor
def _shared() -> dict[str, object]:
    day = today()
    return {
        "quantity": quantity,
        "pack_words": pack_words,
        "quarter_words": quarter_words,
        "kind_words": KIND_WORDS,
        "state_tags": STATE_TAGS,
        "today": day,
        "job_url": job_url,
        "lot_words": lot_words,
    }


@blueprint.get("/")
@needs("shelf", "see")
def materials() -> str:
    words = request.args.get("q", "").strip()
    day, shelf = today(), read_shelf(reader())
    rows = list_shelf(reader(), day, words, shelf)
    shown = {row.material.id for row in rows}
    return render_template(
        "shelf/materials.html",
        rows=rows,
        found=sort_rows(rows),
        jobs=jobs_served(rows),
        expiring=[one for one in expiring_among(shelf.lots, day) if one.material.id in shown],
        drafts=[order for order in shelf.orders if order.is_draft],
        late=late_among(shelf.orders, day),
        q=words,
    )
