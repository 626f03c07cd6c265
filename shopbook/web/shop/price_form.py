"""The price list as a form: one amount a panel and size, both sides as one, and what was typed as changes."""

from collections.abc import Mapping, Sequence
from itertools import product
from typing import cast

from wtforms import HiddenField
from wtforms.validators import Optional
from wtforms.widgets import HiddenInput

from shopbook.trade.catalogue.entries import PanelPrice
from shopbook.trade.planning.price_grid import Changes, GridRow, ListedPrice, listed, raised_list
from shopbook.trade.planning.shapes import PaintChoice, SizeStep
from shopbook.web.parts import country
from shopbook.web.parts.fields import AmountField
from shopbook.web.parts.forms import KeyField
from shopbook.web.shop.setting_forms import FromDayForm

SIZE_WORDS = {SizeStep.S: "Small", SizeStep.M: "Medium", SizeStep.L: "Large"}
RISE_PERMILLE = 50
"""What one press raises every price by, in thousandths."""


class PriceGridForm(FromDayForm):
    """The prices of one way of repair; made by `grid_form`."""

    revision = KeyField(widget=HiddenInput(), default=0)
    way = HiddenField()
    raises = HiddenField()

    def field(self, row: GridRow, size: SizeStep) -> AmountField:
        """The field of one figure."""
        return cast("AmountField", self[field_name(row, size)])

    def changes(
        self, rows: Sequence[GridRow], prices: Mapping[str, PanelPrice], hour_minor: int, raised: Changes
    ) -> Changes:
        """What was typed and is not what stands in the list; of other ways, what all prices are raised to.

        A field that was not sent says nothing; one that was emptied lets the hours make the price again.
        """
        paint = PaintChoice(self.way.data or PaintChoice.PAINT)
        found: Changes = {key: minor for key, minor in raised.items() if key[1][1] is not paint}
        for row, size in product(rows, SizeStep):
            field = self.field(row, size)
            for code in row.codes if field.raw_data else ():
                if _is_new(field.data, listed(prices[code], hour_minor, (size, paint))):
                    found[code, (size, paint)] = field.data
        return found


def _is_new(typed: int | None, held: ListedPrice) -> bool:
    """Whether a figure was changed; an emptied one was only where the shop had set its own."""
    return typed != held.minor and (typed is not None or held.is_own)


def field_name(row: GridRow, size: SizeStep) -> str:
    """What the field of one figure is called."""
    return f"price_{row.name}_{size}"


def row_words(row: GridRow) -> str:
    """What a row is called: "Front door" for both sides, "Left front door" where it stands alone."""
    code = row.codes[0]
    if len(row.codes) == 1:
        return country().panel(code).capitalize()
    return country().both_sides(code).capitalize()


def grid_form(
    rows: Sequence[GridRow], cells: Mapping[tuple[str, SizeStep], ListedPrice], paint: PaintChoice, raised: Changes
) -> PriceGridForm:
    """The form of one way of repair, filled with the list, or with what all prices would be raised to."""
    fields: dict[str, object] = {}
    data: dict[str, object] = {"way": paint.value}
    for row in rows:
        for size in SizeStep:
            name, code = field_name(row, size), row.codes[0]
            fields[name] = AmountField(f"{row_words(row)}, {SIZE_WORDS[size].lower()}", [Optional()])
            data[name] = raised.get((code, (size, paint)), cells[code, size].minor)
    made: type[PriceGridForm] = type("PriceGridForm", (PriceGridForm,), fields)
    return made(data=data)


def raised_prices(prices: Mapping[str, PanelPrice], hour_minor: int, step_minor: int | None) -> Changes:
    """Every price at +5 %, rounded as the shop rounds its list: to its own step, else to a minor unit."""
    return raised_list(prices, hour_minor, RISE_PERMILLE, step_minor or 1)
