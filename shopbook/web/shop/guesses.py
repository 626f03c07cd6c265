"""Our newest guesses beside the book's figures, used one at a time or all untouched ones, from a day."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from flask import request, url_for
from wtforms import BooleanField, Field, SelectField, SelectMultipleField

from shopbook.queries.shop.guesses import ChangedGuess, list_changed_guesses
from shopbook.services.shop.guesses import take_guess, take_untouched_guesses
from shopbook.trade.car.damage import PAINT_WORDS
from shopbook.trade.catalogue.entries import Entry, EntryKind, Number, PanelPrice
from shopbook.trade.catalogue.figures import figures_of
from shopbook.trade.planning.shapes import PaintChoice
from shopbook.web.parts import Act, Answer, Done, act_by_form, country, money, needs, reader
from shopbook.web.shop.price_form import SIZE_WORDS
from shopbook.web.shop.price_list import body_hour_minor, shown_prices
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.setting_forms import FromDayForm
from shopbook.web.shop.standard_forms import standard_form
from shopbook.web.shop.standard_words import COUNT_WORDS
from shopbook.web.shop.standards import entry_title

EVERYTHING = "all"
"""What the button for all untouched ones sends instead of one code."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One changed guess as the page shows it: each figure that differs as (what, the book's, ours)."""

    key: str
    title: str
    kind: str
    rows: list[tuple[str, str, str]]


def count_words(guesses: Iterable[ChangedGuess]) -> str:
    """How many of each kind: "23 stages, 4 prices"."""
    counted = Counter(guess.kind for guess in guesses)
    return ", ".join(f"{count} {COUNT_WORDS[kind][count != 1]}" for kind, count in counted.items())


@blueprint.route("/settings/guesses", methods=["GET", "POST"])
@needs("shop", "set")
def guesses() -> Answer:
    form = FromDayForm()
    wanted = request.form.get("take", EVERYTHING)

    def doing(act: Act) -> Done:
        count = 1
        if wanted == EVERYTHING:
            count = take_untouched_guesses(act, form.day)
        else:
            kind, _, code = wanted.partition(":")
            take_guess(act, kind, code, form.day)
        said = f"{count} changed. Approved plans and prices stay as they are."
        return Done(url_for("shop.guesses"), said)

    return act_by_form(form, "shop/guesses.html", doing, **_known())


def _known() -> dict[str, object]:
    changed = list_changed_guesses(reader())
    return {
        "counted": count_words(guess for guess in changed if guess.is_untouched),
        "untouched": [_shown(guess) for guess in changed if guess.is_untouched],
        "own": [_shown(guess) for guess in changed if guess.is_set and guess.ours],
        "retired": [_title(guess) for guess in changed if guess.ours is None],
        "everything": EVERYTHING,
    }


def _title(guess: ChangedGuess) -> str:
    known = guess.ours or guess.held
    assert known is not None
    is_price = guess.kind is EntryKind.PRICE
    return country().panel(known.code).capitalize() if is_price else entry_title(known, guess.kind)


def _shown(guess: ChangedGuess) -> Shown:
    held, ours = _figures(guess.kind, guess.held), _figures(guess.kind, guess.ours)
    rows = [(what, held.get(what, "none"), figure) for what, figure in ours.items() if held.get(what) != figure]
    # A figure may differ by less than the page shows; its button is there all the same.
    told = rows or [("Too small to show here", "", "")]
    return Shown(f"{guess.kind}:{guess.code}", _title(guess), COUNT_WORDS[guess.kind][0].capitalize(), told)


def _figures(kind: EntryKind, entry: Entry | None) -> dict[str, str]:
    """Every figure of an entry by what it is called, in the shop's units."""
    if entry is None:
        return {}
    if isinstance(entry, PanelPrice):
        return _prices(entry)
    if isinstance(entry, Number):
        return {"Value": f"{entry.value:g} {entry.unit}"}
    make = standard_form(kind)
    # Without the request's own form, which holds what was pressed on this page.
    form = make(None, data=make.typed(entry))
    kept = figures_of(entry)
    return {field.label.text: _figure(field) for field in form if field.short_name in kept}


def _figure(field: Field) -> str:
    """One field as a person would have typed it; the types of WTForms do not name what its fields print."""
    if isinstance(field, BooleanField):
        return "yes" if field.data else "no"
    if isinstance(field, SelectMultipleField):
        return ", ".join(str(code).replace("_", " ") for code in field.data or ()) or "none"
    if isinstance(field, SelectField):
        return str(field.data).replace("_", " ")
    # Every field that is typed into has its text; the library names it as its own, and its stubs leave it out.
    text = field._value()  # type: ignore[attr-defined]
    told = ", ".join(str(text).splitlines())
    return f"{told} {getattr(field, 'unit', '')}".strip() if told else "none"


def _prices(price: PanelPrice) -> dict[str, str]:
    shown = shown_prices(price, body_hour_minor())
    cells = {
        f"{SIZE_WORDS[size]}, {PAINT_WORDS[paint].lower()}": money(minor) for (size, paint), minor in shown.items()
    }
    days = {
        f"Working days, {PAINT_WORDS[paint].lower()}": str(price.days[place]) for place, paint in enumerate(PaintChoice)
    }
    return cells | days
