"""The air and waste record of a month, and the mixing log as a table."""

from flask import Response, redirect, render_template, url_for
from werkzeug.wrappers import Response as AnyResponse

from shopbook.documents.air_csv import AirRow, make_air_csv
from shopbook.queries.reports.air import AirMix, get_air_month, list_air_entries
from shopbook.queries.reports.waste import get_waste_month
from shopbook.queries.shop.dated_papers import list_dated_papers
from shopbook.trade.air.categories import CATEGORY_WORDS
from shopbook.trade.air.spray_record import MixedPart, MixRecord, list_missing
from shopbook.trade.air.voc import DEFERS, limit_says, totals_by_month
from shopbook.trade.air.waste import PAPER_WORDS, PaperDue
from shopbook.trade.errors import NotFound
from shopbook.trade.measures.days import format_day, format_month, month_bounds, month_of, month_shifted, parse_month
from shopbook.trade.measures.quantities import format_quantity
from shopbook.trade.measures.units import Kind, Unit
from shopbook.trade.settings import SettingName
from shopbook.web.parts import country, needs, reader, shop_now
from shopbook.web.parts.frame import said
from shopbook.web.reports.blueprint import blueprint

MONTHS_SHOWN = 12
OFF = "The air and waste record is off. The owner can turn it on in Settings, Extra features."


@blueprint.get("/air")
@needs("reports", "month")
def air_now() -> AnyResponse:
    """The current month: the latest mixes are looked for first."""
    return redirect(url_for("reports.air", name=month_of(shop_now().day)))


@blueprint.get("/air/<name>")
@needs("reports", "month")
def air(name: str) -> str:
    refuse_when_off()
    wanted, day = parse_month(name), shop_now().day
    record = get_air_month(reader(), wanted)
    return render_template(
        "reports/air.html",
        name=wanted,
        title=f"Air and waste, {format_month(wanted)}",
        earlier=month_shifted(wanted, -1),
        later=month_shifted(wanted, 1),
        record=record,
        waste=get_waste_month(reader(), wanted),
        papers=list_dated_papers(reader(), day),
        months=_months(wanted),
        without_limits="" if country().air_limits else country().name,
        **_WORDS,
    )


@blueprint.get("/air/<name>/mixing-log.csv")
@needs("reports", "month")
def air_csv(name: str) -> Response:
    refuse_when_off()
    wanted = parse_month(name)
    rows = [row for mix in get_air_month(reader(), wanted).mixes for row in _rows(mix)]
    answer = Response(make_air_csv(rows, DEFERS), mimetype="text/csv")
    answer.headers["Content-Disposition"] = f'attachment; filename="mixing-log-{wanted}.csv"'
    return answer


def refuse_when_off() -> None:
    """NotFound, saying where to turn it on, while the shop keeps no such record."""
    if not shop_now().settings[SettingName.SHOWS_AIR]:
        raise NotFound(OFF)


def _months(wanted: str) -> list[tuple[str, str, int]]:
    """(name, words, thousandths of a gram) of the months up to this one, the newest first."""
    names = [month_shifted(wanted, -back) for back in range(MONTHS_SHOWN)]
    first, last = month_bounds(names[-1])[0], month_bounds(names[0])[1]
    totals = {
        f"{year:04d}-{number:02d}": sum(by_category.values())
        for (year, number), by_category in totals_by_month(list_air_entries(reader(), first, last)).items()
    }
    return [(name, format_month(name), totals[name]) for name in names if name in totals]


def _mass(thousandths_g: int) -> str:
    """A mass as the shop reads it: in kg or lb, with a decimal or two."""
    units = shop_now().units
    large = Unit.LB if units.shown(Kind.MASS) in {Unit.LB, Unit.OZ} else Unit.KG
    return format_quantity(thousandths_g, large, places=2, locale=units.locale)


def _volume(thousandths_ml: int) -> str:
    units = shop_now().units
    return format_quantity(thousandths_ml, units.shown(Unit.ML), locale=units.locale)


def _left(due: PaperDue) -> tuple[str, str]:
    """The kind of a tag and its words: how long a paper is still valid."""
    if due.days_left < 0:
        return "late", f"expired {format_day(due.due_on, country().date_form)}"
    kind = "warn" if due.days_left <= 30 else "good"
    return kind, "expires today" if not due.days_left else f"{due.days_left} days left"


def _rows(mix: AirMix) -> list[AirRow]:
    return [
        AirRow(
            day=mix.on.isoformat(),
            mix=mix.name,
            jobs=" ".join(str(job) for job in mix.jobs),
            category=said(CATEGORY_WORDS[mix.category]),
            product=part.name,
            maker=part.maker,
            number=part.product_number,
            quantity=f"{part.amount_thousandths / 1000:g}",
            supplied="" if part.voc_g_l is None else str(part.voc_g_l),
            applied="" if mix.voc is None else f"{mix.voc.as_applied_g_per_l:.0f}",
            less_water="" if mix.voc is None else f"{mix.voc.less_water_g_per_l:.0f}",
            missing="; ".join(_missing(mix)),
        )
        for part in mix.parts
    ]


def _missing(mix: AirMix) -> tuple[str, ...]:
    parts = tuple(MixedPart(part.name, part.maker, part.product_number, part.amount_thousandths) for part in mix.parts)
    voc = None if mix.voc is None else mix.voc.as_applied_g_per_l
    jobs = " ".join(str(job) for job in mix.jobs)
    return list_missing(MixRecord(jobs, mix.on, said(CATEGORY_WORDS[mix.category]), voc, parts))


_WORDS: dict[str, object] = {
    "paper_words": PAPER_WORDS,
    "category_words": CATEGORY_WORDS,
    "limit_says": limit_says,
    "defers": DEFERS,
    "mass": _mass,
    "volume": _volume,
    "left": _left,
}
"""How the page writes figures."""
