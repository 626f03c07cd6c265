"""The month end: on screen, as paper, as a table, as a chart; and the month that is closed."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Response, current_app, redirect, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as AnyResponse

from shopbook.documents.month.chart import NARROW, WIDE, ChartMoney, chart_svg, chart_words
from shopbook.documents.month.kept import kept_paper
from shopbook.documents.month_end import MonthPaper, make_month_csv, make_month_pdf
from shopbook.outside.files import keep_bytes
from shopbook.queries.money.closings import MonthState, find_standing_closing, get_closing, month_state
from shopbook.queries.reports.checklist import list_to_see
from shopbook.queries.reports.month_profit import MonthsRead, list_profits, read_months
from shopbook.queries.reports.whole_month import read_month
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.log import first_act_on
from shopbook.services.money.close import close_month
from shopbook.services.shop.papers import record_paper
from shopbook.trade.measures.days import format_month, month_bounds, month_name, month_of, month_shifted, parse_month
from shopbook.trade.results.profit_chart import MonthProfit, charted_months
from shopbook.trade.settings import SettingName
from shopbook.web.parts import Act, Done, act_by_press, country, needs, now, reader, shop_now
from shopbook.web.reports.blueprint import blueprint
from shopbook.web.reports.closings import closing_file
from shopbook.web.reports.month_paper import closed_paper, compose_closing, compose_month_paper, paper_of
from shopbook.web.reports.sections import TOOLS
from shopbook.web.reports.worst import standards_values

CHART_POLICY = "default-src 'none'; style-src 'unsafe-inline'"


@dataclass(frozen=True, slots=True)
class _Charted:
    """The months that the chart shows, and what is read of them."""

    months: Sequence[str]
    read: MonthsRead

    @property
    def profits(self) -> list[MonthProfit]:
        """Each with its gross and net profit."""
        rows = list_profits(self.read, self.months)
        return [MonthProfit(month_name(month)[:3], gross, net) for month, gross, net in rows]


@blueprint.get("/months")
@needs("reports", "month")
def months() -> AnyResponse:
    """The newest month that is over; the current one says little in its first days."""
    return redirect(url_for("reports.month", name=month_shifted(month_of(shop_now().day), -1)))


@blueprint.get("/months/<name>")
@needs("reports", "month")
def month(name: str) -> str:
    wanted = parse_month(name)
    state = month_state(reader(), wanted)
    standing = state.standing
    if standing is not None:
        return _page(wanted, state, closed_paper(standing.close), _charted(wanted), version=standing.close.version)
    charted = _charted(wanted)
    read = read_month(shop_now(), wanted, charted.read.span)
    to_see = list_to_see(reader(), wanted, now(), shop_now())
    more = {"to_see": to_see, **standards_values(wanted)}
    return _page(wanted, state, paper_of(shop_now(), read), charted, **more)


@blueprint.get("/months/<name>/closings/<int:version>")
@needs("reports", "month")
def closing(name: str, version: int) -> str:
    """What one closing kept, also of a month that was reopened."""
    wanted = parse_month(name)
    kept = closed_paper(get_closing(reader(), wanted, version))
    return _page(wanted, month_state(reader(), wanted), kept, _charted(wanted), version=version)


def _page(wanted: str, state: MonthState, paper: MonthPaper, charted: _Charted, **more: object) -> str:
    last = month_bounds(wanted)[1]
    return render_template(
        "reports/month.html",
        name=wanted,
        title=format_month(wanted),
        month_word=month_name(wanted),
        earlier=month_shifted(wanted, -1),
        earlier_word=month_name(month_shifted(wanted, -1)),
        later=month_shifted(wanted, 1),
        later_word=month_name(month_shifted(wanted, 1)),
        until=min(last, shop_now().day),
        is_over=last < shop_now().day,
        paper=paper,
        **_placed(paper),
        state=state,
        people=shop_now().person_names,
        tools=TOOLS,
        chart_words=chart_words(charted.profits, chart_money()),
        shows_air=bool(shop_now().settings[SettingName.SHOWS_AIR]),
        **more,
    )


_DEPTH = ("invoiced", "cost", "work_jobs", "stock", "paid_kinds", "rework", "quotes", "taken_back", "seal")
_WIDE = ("jobs",)


def _placed(paper: MonthPaper) -> dict[str, object]:
    """The sections by their code, and those that stand one press away: in a column, or over the whole width."""
    by_code = {section.code: section for section in paper.sections}
    return {
        "sections": by_code,
        "depth": [by_code[code] for code in _DEPTH if code in by_code],
        "wide": [by_code[code] for code in _WIDE if code in by_code],
    }


@blueprint.get("/months/<name>/chart.svg")
@needs("reports", "month")
def chart(name: str) -> Response:
    width = NARROW if request.args.get("narrow") else WIDE
    answer = Response(chart_svg(_charted(parse_month(name)).profits, chart_money(), width), mimetype="image/svg+xml")
    answer.headers["Content-Security-Policy"] = CHART_POLICY
    return answer


def chart_money() -> ChartMoney:
    """How the chart writes amounts here."""
    return ChartMoney(country().currency_symbol, country().currency_places, country().locale)


def _charted(wanted: str) -> _Charted:
    """The months of the chart up to this one, read once; an open month on the page is made from the same reading."""
    shown = charted_months(wanted, first_act_on(reader()))
    return _Charted(shown, read_months(shop_now(), shown))


@blueprint.get("/months/<name>/month-end.pdf")
@needs("reports", "month")
def month_pdf(name: str) -> AnyResponse:
    """The month on paper: of a closed one the very paper that was kept."""
    wanted = parse_month(name)
    closing = find_standing_closing(reader(), wanted)
    if closing is not None:
        return redirect(url_for("reports.closing_pdf", name=wanted, version=closing.version))
    paper, _ = compose_closing(reader(), wanted, shop_now().day)
    return Response(make_month_pdf(paper), mimetype="application/pdf")


@blueprint.get("/months/<name>/month-end.csv")
@needs("reports", "month")
def month_csv(name: str) -> Response:
    wanted = parse_month(name)
    answer = Response(make_month_csv(_paper(reader(), wanted)), mimetype="text/csv")
    answer.headers["Content-Disposition"] = f'attachment; filename="month-end-{wanted}.csv"'
    return answer


@blueprint.post("/months/<name>/close")
@needs("money", "close")
def close(name: str) -> AnyResponse:
    wanted = parse_month(name)
    paper, numbers = compose_closing(reader(), wanted, day_of(reader(), now()))
    kept = keep_bytes(current_app.config["SHOPBOOK"].papers_folder, make_month_pdf(paper))

    def lock(act: Act) -> Done:
        closing = close_month(act, wanted, kept_paper(paper), numbers=numbers, sha256=kept.sha256)
        record_paper(
            act.session,
            act.moment,
            kind="month_end",
            subject="month_close",
            subject_id=closing.id,
            sha256=kept.sha256,
            size_bytes=kept.size_bytes,
            file_name=closing_file(wanted, closing.version),
        )
        return Done(url_for("reports.month", name=wanted), f"{format_month(wanted)} is closed.")

    return act_by_press(lock, url_for("reports.month", name=wanted))


def _paper(session: Session, name: str) -> MonthPaper:
    return compose_month_paper(session, name, day_of(session, now()))
