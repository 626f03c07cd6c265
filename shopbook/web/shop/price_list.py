"""The shop's own price list as a sheet to type in; prices nobody typed come from the hourly rate."""

from dataclasses import dataclass

from flask import request, url_for
from werkzeug.wrappers import Response
from wtforms.validators import Optional

from shopbook.queries.shop.prices import price_list_revision
from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.shop.prices import join_sides, set_prices
from shopbook.services.shop.rates import set_settings, set_standard
from shopbook.trade.car.damage import PAINT_WORDS
from shopbook.trade.catalogue.entries import OWN_SOURCE, EntryKind, PanelPrice
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.catalogue.reading import entry_body
from shopbook.trade.errors import NotFound
from shopbook.trade.planning.kerb import cell_key
from shopbook.trade.planning.price_grid import (
    SIDES,
    Cell,
    Changes,
    GridRow,
    ListedPrice,
    all_listed,
    apart_pairs,
    count_own,
    grid_rows,
    listed,
)
from shopbook.trade.planning.shapes import PaintChoice, SizeStep
from shopbook.trade.settings import SettingName
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, key_or_none, needs, reader, shop_now
from shopbook.web.parts.fields import AmountField
from shopbook.web.shop.price_form import SIZE_WORDS, PriceGridForm, grid_form, raised_prices, row_words
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.setting_forms import FromDayForm, whole

APART = "apart"
"""What the press sends that lets left and right keep prices of their own."""


@dataclass(frozen=True, slots=True)
class PriceCell:
    """One figure of the sheet: its price, and whether the preview changes it."""

    price: ListedPrice
    is_changed: bool


@dataclass(frozen=True, slots=True)
class PriceSheet:
    """One way of repair as a page shows it."""

    paint: PaintChoice
    rows: list[GridRow]
    prices: dict[str, PanelPrice]
    hour_minor: int
    raised: Changes
    """What all prices are raised to, where that is looked at before it is saved."""

    @property
    def cells(self) -> dict[tuple[str, SizeStep], ListedPrice]:
        """Every figure of this way by panel and size."""
        return {
            (code, size): listed(price, self.hour_minor, (size, self.paint))
            for code, price in self.prices.items()
            for size in SizeStep
        }

    def lines(self) -> list[tuple[GridRow, str, dict[SizeStep, PriceCell]]]:
        """The rows with their words and figures."""
        cells = self.cells
        return [
            (row, row_words(row), {size: self._cell(cells[row.codes[0], size], row, size) for size in SizeStep})
            for row in self.rows
        ]

    def _cell(self, price: ListedPrice, row: GridRow, size: SizeStep) -> PriceCell:
        return PriceCell(price, any((code, (size, self.paint)) in self.raised for code in row.codes))

    @property
    def newly_own(self) -> int:
        """How many prices the rise makes the shop's own that were our guess."""
        held = [listed(self.prices[code], self.hour_minor, cell) for code, cell in self.raised]
        return len(held) - count_own(held)


class PanelPriceForm(FromDayForm):
    """Nine prices and three numbers of days of one panel; an empty price is worked out from hours again."""

    def body(self, price: PanelPrice, hour_minor: int) -> dict[str, object]:
        """The entry with what was typed: only a price that differs from the one worked out is the shop's own."""
        reckoned = {cell: each.hours_minor for cell, each in all_listed(price, hour_minor).items()}
        typed = {cell: self[_name(*cell)].data for cell in reckoned}
        own = {
            cell_key(*cell): minor
            for cell, minor in typed.items()
            if minor is not None and (minor != reckoned[cell] or cell_key(*cell) in price.set_minor)
        }
        days = [self[f"days_{paint}"].data for paint in PaintChoice]
        return entry_body(price) | {"set_minor": own, "days": days, "sure": 100, "source": OWN_SOURCE}


for _size in SizeStep:
    for _paint in PaintChoice:
        _words = f"{SIZE_WORDS[_size]}, {PAINT_WORDS[_paint].lower()}"
        setattr(PanelPriceForm, f"price_{_size}_{_paint}", AmountField(_words, [Optional()]))
for _paint in PaintChoice:
    setattr(PanelPriceForm, f"days_{_paint}", whole(f"Working days, {PAINT_WORDS[_paint].lower()}", 0, 60))


def _name(size: SizeStep, paint: PaintChoice) -> str:
    return f"price_{size}_{paint}"


def shown_prices(price: PanelPrice, hour_minor: int) -> dict[Cell, int]:
    """The listed prices: the shop's own where it typed one, else the one worked out."""
    return {cell: each.minor for cell, each in all_listed(price, hour_minor).items()}


def body_hour_minor() -> int:
    """Today's hourly rate for body work; one where nothing is set."""
    return shop_now().labour.get((Skill.BODY, "any"), 0) or 1


def holds_tax() -> bool:
    """Whether the list's prices are typed with their tax in them."""
    return bool(shop_now().settings[SettingName.PRICES_HOLD_TAX])


def read_sheet(way: str, *, is_raised: bool) -> PriceSheet:
    """The sheet of one way; NotFound for a way that there is not."""
    if way not in set(PaintChoice):
        raise NotFound("There is no such page of the price list.")
    prices, hour_minor = dict(shop_now().catalogue.prices), body_hour_minor()
    step = shop_now().settings[SettingName.LIST_STEP_MINOR]
    raised = raised_prices(prices, hour_minor, step) if is_raised else {}
    return PriceSheet(PaintChoice(way), grid_rows(prices, hour_minor), prices, hour_minor, raised)


@blueprint.route("/settings/price-list", methods=["GET", "POST"])
@needs("shop", "set")
def price_list() -> Answer:
    sheet = read_sheet(request.values.get("way", PaintChoice.PAINT), is_raised=bool(request.values.get("raises")))
    form = grid_form(sheet.rows, sheet.cells, sheet.paint, sheet.raised)
    if request.method == "GET":
        form.revision.data, form.raises.data = price_list_revision(reader()), "5" if sheet.raised else ""

    def doing(act: Act) -> Done:
        return _save(act, form, sheet)

    return act_by_form(form, "shop/price_list.html", doing, sheet=sheet, **_around(sheet))


def _save(act: Act, form: PriceGridForm, sheet: PriceSheet) -> Done:
    changes = form.changes(sheet.rows, sheet.prices, sheet.hour_minor, sheet.raised)
    words = f"All prices +5 %, {len(changes)} changed," if sheet.raised else ""
    count = set_prices(act, changes, form.day, revision=form.revision.data or 0, words=words)
    said = f"{count} price{'s' if count != 1 else ''} saved." if count else "Nothing changed."
    return Done(url_for("shop.price_list", way=sheet.paint.value), said)


def _around(sheet: PriceSheet) -> dict[str, object]:
    """What stands around the sheet: whose prices they are, and the pairs that stand apart until somebody said so."""
    held = [each for price in sheet.prices.values() for each in all_listed(price, sheet.hour_minor).values()]
    is_kept = shop_now().settings[SettingName.SIDES_PRICED_APART]
    return {
        "sizes": SIZE_WORDS,
        "holds_tax": holds_tax(),
        "own": count_own(held),
        "count": len(held),
        "apart": [] if is_kept else apart_pairs(sheet.prices, sheet.hour_minor),
        "step": shop_now().settings[SettingName.LIST_STEP_MINOR],
    }


@blueprint.post("/settings/price-list/sides")
@needs("shop", "set")
def price_sides() -> Response:
    back, side = url_for("shop.price_list"), request.form.get("side", "")
    revision, hour_minor = key_or_none(request.form.get("revision")) or 0, body_hour_minor()

    def doing(act: Act) -> Done:
        if side in SIDES:
            join_sides(act, hour_minor, side, revision=revision)
            return Done(back, "Left and right have one price now.")
        set_settings(act, {SettingName.SIDES_PRICED_APART: True}, act.day)
        return Done(back, "Left and right keep prices of their own.")

    if side not in {*SIDES, APART}:
        raise NotFound("Choose the left prices, the right prices, or both.")
    return act_by_press(doing, back)


@blueprint.route("/settings/price-list/<code>", methods=["GET", "POST"])
@needs("shop", "set")
def price(code: str) -> Answer:
    known = shop_now().catalogue.prices.get(code)
    if known is None:
        raise NotFound("That panel is not in the price list.")
    hour_minor = body_hour_minor()
    days = {f"days_{paint}": known.days[place] for place, paint in enumerate(PaintChoice)}
    form = PanelPriceForm(data={_name(*cell): minor for cell, minor in shown_prices(known, hour_minor).items()} | days)

    def doing(act: Act) -> Done:
        held = catalogue_on(act.session, form.day).prices.get(code, known)
        body = form.body(held, hour_minor)
        set_standard(act, EntryKind.PRICE, code, body, form.day)
        return Done(url_for("shop.price_list"), "Price list saved.")

    return act_by_form(
        form, "shop/price.html", doing, code=code, sizes=SIZE_WORDS, paints=PAINT_WORDS, holds_tax=holds_tax()
    )
