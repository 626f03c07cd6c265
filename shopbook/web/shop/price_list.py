"""The shop's own price list by panel, size and paint; prices nobody typed come from the hourly rate."""

from flask import render_template, url_for
from wtforms.validators import Optional

from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.shop.rates import set_standard
from shopbook.trade.car.damage import PAINT_WORDS
from shopbook.trade.catalogue.entries import OWN_SOURCE, EntryKind, PanelPrice
from shopbook.trade.catalogue.kinds import Skill
from shopbook.trade.catalogue.reading import entry_body
from shopbook.trade.errors import NotFound
from shopbook.trade.measures.locales import write_list
from shopbook.trade.planning.kerb import is_own_cell
from shopbook.trade.planning.shapes import PaintChoice, SizeStep
from shopbook.trade.pricing.listed import price_from_hours, whose_figure
from shopbook.trade.settings import SettingName
from shopbook.web.parts import Act, Answer, Done, act_by_form, needs, shop_now
from shopbook.web.parts.fields import AmountField
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.setting_forms import FromDayForm, whole

SIZE_WORDS = {SizeStep.S: "Small", SizeStep.M: "Medium", SizeStep.L: "Large"}
_ROWS = {SizeStep.S: "small", SizeStep.M: "medium", SizeStep.L: "large"}


class PanelPriceForm(FromDayForm):
    """Nine prices and three numbers of days of one panel; an empty price is worked out from hours again."""

    def body(self, price: PanelPrice, hour_minor: int) -> dict[str, object]:
        """The entry with what was typed: only a price that differs from the one worked out is the shop's own."""
        reckoned = reckoned_prices(price, hour_minor)
        typed = {key: self[_name(*key)].data for key in reckoned}
        own = {
            _key(*key): minor
            for key, minor in typed.items()
            if minor is not None and (minor != reckoned[key] or _key(*key) in price.set_minor)
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


def _key(size: SizeStep, paint: PaintChoice) -> str:
    return f"{size}.{paint}"


def reckoned_prices(price: PanelPrice, hour_minor: int) -> dict[tuple[SizeStep, PaintChoice], int]:
    """Each cell's price from hours at the hourly rate, in minor units before tax."""
    return {
        (size, paint): price_from_hours(getattr(price, row)[place], hour_minor)
        for size, row in _ROWS.items()
        for place, paint in enumerate(PaintChoice)
    }


def shown_prices(price: PanelPrice, hour_minor: int) -> dict[tuple[SizeStep, PaintChoice], int]:
    """The listed prices: the shop's own where it typed one, else the one worked out."""
    reckoned = reckoned_prices(price, hour_minor)
    return {key: price.set_minor.get(_key(*key), minor) for key, minor in reckoned.items()}


def whose_words(price: PanelPrice) -> str:
    """Whose a panel's nine prices are: the shop's, ours, or both."""
    own = {is_own_cell(price, size, paint) for size in SizeStep for paint in PaintChoice}
    return write_list([whose_figure(is_own=each) for each in sorted(own, reverse=True)])


def body_hour_minor() -> int:
    """Today's hourly rate for body work; one where nothing is set."""
    return shop_now().labour.get((Skill.BODY, "any"), 0) or 1


def _holds_tax() -> bool:
    return bool(shop_now().settings[SettingName.PRICES_HOLD_TAX])


@blueprint.get("/settings/price-list")
@needs("shop", "set")
def price_list() -> str:
    prices = shop_now().catalogue.prices
    hour_minor = body_hour_minor()
    rows = [(price.code, shown_prices(price, hour_minor), whose_words(price)) for price in prices.values()]
    return render_template(
        "shop/price_list.html", rows=rows, sizes=SIZE_WORDS, paints=PAINT_WORDS, holds_tax=_holds_tax()
    )


@blueprint.route("/settings/price-list/<code>", methods=["GET", "POST"])
@needs("shop", "set")
def price(code: str) -> Answer:
    known = shop_now().catalogue.prices.get(code)
    if known is None:
        raise NotFound("That panel is not in the price list.")
    hour_minor = body_hour_minor()
    days = {f"days_{paint}": known.days[place] for place, paint in enumerate(PaintChoice)}
    form = PanelPriceForm(data={_name(*key): minor for key, minor in shown_prices(known, hour_minor).items()} | days)

    def doing(act: Act) -> Done:
        held = catalogue_on(act.session, form.day).prices.get(code, known)
        body = form.body(held, hour_minor)
        set_standard(act, EntryKind.PRICE, code, body, form.day)
        return Done(url_for("shop.price_list"), "Price list saved.")

    return act_by_form(
        form, "shop/price.html", doing, code=code, sizes=SIZE_WORDS, paints=PAINT_WORDS, holds_tax=_holds_tax()
    )
