"""The shop's standards: the catalogue's entries, whose figure each is, and the shop's own instead from a day."""

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.reports.learning import taught_by_code
from shopbook.services.reports.learning import take_taught_standard
from shopbook.services.shop.rates import set_standard
from shopbook.trade.catalogue.entries import Entry, EntryKind
from shopbook.trade.catalogue.reading import TABLES
from shopbook.trade.errors import NotFound
from shopbook.trade.letters import plain_code
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, country, needs, reader, shop_now, today
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.standard_forms import standard_form
from shopbook.web.shop.standard_words import KIND_WORDS, hours_words


def entry_title(entry: Entry, kind: EntryKind) -> str:
    """What an entry is called on a page: its own name, a panel's name here, else its code in words."""
    if kind is EntryKind.PANEL:
        return country().panel(entry.code).capitalize()
    return str(getattr(entry, "name", "")) or plain_code(entry.code)


@blueprint.get("/settings/standards")
@needs("shop", "set")
def standards() -> str:
    return render_template("shop/standards.html", kinds=KIND_WORDS)


@blueprint.get("/settings/standards/<kind>")
@needs("shop", "set")
def standard_kind(kind: str) -> str:
    known = _kind(kind)
    entries = getattr(shop_now().catalogue, TABLES[known])
    rows = [(entry.code, entry_title(entry, known), entry, entry.is_own) for entry in entries.values()]
    title, about = KIND_WORDS[known]
    taught = taught_by_code(reader(), today()) if known is EntryKind.STAGE else {}
    return render_template(
        "shop/standard_kind.html",
        kind=known, title=title, about=about, rows=rows, taught=taught, hours_words=hours_words,
    )  # fmt: skip


@blueprint.post("/settings/standards/stage/<code>/take")
@needs("shop", "set")
def take_taught(code: str) -> Response:
    back = url_for("shop.standard_kind", kind=EntryKind.STAGE.value)
    permille = request.form.get("permille", type=int) or 0

    def doing(act: Act) -> Done:
        taught = take_taught_standard(act, code, permille)
        return Done(back, f"In use from today, from your last {taught.cases}. Approved plans stay as they are.")

    return act_by_press(doing, back)


@blueprint.route("/settings/standards/<kind>/<code>", methods=["GET", "POST"])
@needs("shop", "set")
def standard(kind: str, code: str) -> Answer:
    known = _kind(kind)
    entry = getattr(shop_now().catalogue, TABLES[known]).get(code)
    if entry is None:
        raise NotFound("That standard is not in the book.")
    make = standard_form(known)
    form = make(data=make.typed(entry))

    def doing(act: Act) -> Done:
        set_standard(act, known, code, form.body(entry), form.day)
        return Done(url_for("shop.standard_kind", kind=known.value), f"{entry_title(entry, known)} saved.")

    title = entry_title(entry, known)
    return act_by_form(form, "shop/standard.html", doing, entry=entry, title=title, kind=known.value, names=make.names)


def _kind(kind: str) -> EntryKind:
    if kind not in KIND_WORDS:
        raise NotFound("There is no such kind of standard.")
    return EntryKind(kind)
