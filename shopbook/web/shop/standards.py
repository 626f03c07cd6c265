"""The shop's standards: the catalogue's entries, whose figure each is, and the shop's own instead from a day."""

from dataclasses import dataclass

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.reports.learning import taught_by_code
from shopbook.services.reports.learning import take_taught_standard, use_minutes
from shopbook.services.shop.rates import set_standard
from shopbook.trade.catalogue.entries import Entry, EntryKind
from shopbook.trade.catalogue.reading import TABLES
from shopbook.trade.errors import NotFound
from shopbook.trade.letters import plain_code
from shopbook.trade.planning.usual import USUAL_WORDS, usual_minutes
from shopbook.trade.results.learning import ELSEWHERE, ThreeFigures, three_figures
from shopbook.web.parts import (
    Act,
    ActForm,
    Answer,
    Done,
    act_by_form,
    act_by_press,
    country,
    needs,
    reader,
    shop_now,
    today,
)
from shopbook.web.shop.routes import blueprint
from shopbook.web.shop.setting_forms import whole
from shopbook.web.shop.standard_forms import standard_form
from shopbook.web.shop.standard_words import KIND_WORDS, hours_words


class UseForm(ActForm):
    """What a stage takes from today on."""

    minutes = whole("Use from today", 1, 1440)


@dataclass(frozen=True, slots=True)
class StandardRow:
    """One stage of the list: its three figures, or the words of its minutes where no usual repair has it."""

    code: str
    name: str
    figures: ThreeFigures | None
    words: str
    entry: Entry


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
    first, others = _stage_rows(rows) if known is EntryKind.STAGE else ([], [])
    return render_template(
        "shop/standard_kind.html",
        kind=known, title=title, about=about, rows=rows, first=first, others=others, usual_words=USUAL_WORDS,
    )  # fmt: skip


def _stage_rows(rows: list[tuple[str, str, Entry, bool]]) -> tuple[list[StandardRow], list[StandardRow]]:
    """The five stages whose own figure is furthest off the standard, and the rest in the order of the list."""
    taught, usual = taught_by_code(reader(), today()), usual_minutes(shop_now().catalogue)
    told = [
        StandardRow(code, name, three_figures(usual.get(code), taught.get(code)), hours_words(entry), entry)
        for code, name, entry, _ in rows
    ]
    off = sorted((row for row in told if row.figures and row.figures.is_off), key=_how_far_off, reverse=True)
    first = off[:5] or told[:5]
    return first, [row for row in told if row not in first]


def _how_far_off(row: StandardRow) -> int:
    return abs(row.figures.permille - 1000) if row.figures else 0


@blueprint.post("/settings/standards/stage/<code>/take")
@needs("shop", "set")
def take_taught(code: str) -> Response:
    back = url_for("shop.standard_kind", kind=EntryKind.STAGE.value)
    permille = request.form.get("permille", type=int) or 0

    def doing(act: Act) -> Done:
        taught = take_taught_standard(act, code, permille)
        return Done(back, f"In use from today, from your last {taught.cases}. Approved plans stay as they are.")

    return act_by_press(doing, back)


@blueprint.post("/settings/standards/stage/<code>/use")
@needs("shop", "set")
def use_standard(code: str) -> Answer:
    entry, form = _entry(EntryKind.STAGE, code), UseForm()
    figures, repair = _figures(code)

    def doing(act: Act) -> Done:
        use_minutes(act, code, figures or ThreeFigures(0, None), form.minutes.data or 0)
        return Done(url_for("shop.standard_kind", kind=EntryKind.STAGE.value), "In use from today.")

    make = standard_form(EntryKind.STAGE)
    about = _about(EntryKind.STAGE, entry) | {"figures": figures, "repair": repair}
    held = make(None, data=make.typed(entry))
    return act_by_form(form, "shop/standard.html", doing, use=form, held=held, names=make.names, **about)


@blueprint.route("/settings/standards/<kind>/<code>", methods=["GET", "POST"])
@needs("shop", "set")
def standard(kind: str, code: str) -> Answer:
    known = _kind(kind)
    entry = _entry(known, code)
    make = standard_form(known)
    form = make(data=make.typed(entry))

    def doing(act: Act) -> Done:
        set_standard(act, known, code, form.body(entry), form.day)
        return Done(url_for("shop.standard_kind", kind=known.value), f"{entry_title(entry, known)} saved.")

    figures, repair = _figures(code) if known is EntryKind.STAGE else (None, "")
    use = UseForm(None, data={"minutes": figures.offered}) if figures else None
    about = _about(known, entry) | {"figures": figures, "repair": repair}
    return act_by_form(form, "shop/standard.html", doing, use=use, held=form, names=make.names, **about)


def _about(kind: EntryKind, entry: Entry) -> dict[str, object]:
    """What stands around the forms of one entry."""
    return {"entry": entry, "title": entry_title(entry, kind), "kind": kind.value}


def _figures(code: str) -> tuple[ThreeFigures | None, str]:
    """The three figures of one stage, and the repair that they speak of; None where the panels set its minutes, or none
    are known."""
    usual = usual_minutes(shop_now().catalogue).get(code)
    repair = "The middle one of your own jobs." if usual is None else USUAL_WORDS
    if code in ELSEWHERE:
        return None, repair
    return three_figures(usual, taught_by_code(reader(), today()).get(code)), repair


def _entry(kind: EntryKind, code: str) -> Entry:
    found: Entry | None = getattr(shop_now().catalogue, TABLES[kind]).get(code)
    if found is None:
        raise NotFound("That standard is not in the book.")
    return found


def _kind(kind: str) -> EntryKind:
    if kind not in KIND_WORDS:
        raise NotFound("There is no such kind of standard.")
    return EntryKind(kind)
