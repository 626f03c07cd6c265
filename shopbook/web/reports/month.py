"""The month end: on screen, as paper, as a table, as a chart; and the month that is closed."""

from collections.abc import Iterable, Mapping

from flask import Response, current_app, redirect, render_template, request, url_for
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response as AnyResponse

from shopbook.documents.month.chart import NARROW, WIDE, ChartMoney, chart_svg
from shopbook.documents.month_end import MonthPaper, make_month_csv, make_month_pdf
from shopbook.outside.files import keep_bytes
from shopbook.queries.jobs.jobs import list_jobs_by_number
from shopbook.queries.money.closings import month_state
from shopbook.queries.money.costs import CostLine
from shopbook.queries.money.margins import margins
from shopbook.queries.money.quotes import quote_months
from shopbook.queries.reports.checklist import list_to_see
from shopbook.queries.reports.estimates import list_estimates_out
from shopbook.queries.reports.month import get_month_end, list_month_costs, list_month_sums
from shopbook.queries.reports.put_right import list_put_right, materials_per_paint_hour
from shopbook.queries.reports.taken_back import list_taken_back
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.log import first_act_on
from shopbook.services.money.close import close_month
from shopbook.services.shop.papers import record_paper
from shopbook.trade.measures.days import format_month, month_bounds, month_of, month_shifted, parse_month
from shopbook.trade.results.margin import share_permille, share_words
from shopbook.trade.results.month import MonthEnd
from shopbook.trade.results.profit_chart import MonthProfit, charted_months
from shopbook.trade.settings import SettingName
from shopbook.web.parts import Act, Done, act_by_press, country, needs, now, reader, shop_now
from shopbook.web.reports.blueprint import blueprint
from shopbook.web.reports.closings import closing_file
from shopbook.web.reports.month_paper import compose_closing, compose_month_paper, paper_of, what_words

CHART_POLICY = "default-src 'none'; style-src 'unsafe-inline'"


@blueprint.get("/months")
@needs("reports", "month")
def months() -> AnyResponse:
    """The newest month that is over; the current one says little in its first days."""
    return redirect(url_for("reports.month", name=month_shifted(month_of(shop_now().day), -1)))


@blueprint.get("/months/<name>")
@needs("reports", "month")
def month(name: str) -> str:
    wanted = parse_month(name)
    return render_template(
        "reports/month.html",
        name=wanted,
        title=format_month(wanted),
        earlier=month_shifted(wanted, -1),
        later=month_shifted(wanted, 1),
        **_figures(wanted),
        taken_back=list_taken_back(reader(), *month_bounds(wanted)),
        what_words=what_words,
        to_see=list_to_see(reader(), wanted, now(), shop_now()),
        quotes=_quotes(wanted),
        estimates=list_estimates_out(reader(), *month_bounds(wanted)),
        **_closing(wanted),
        short_month=_short,
        shows_air=bool(shop_now().settings[SettingName.SHOWS_AIR]),
    )


def _closing(wanted: str) -> dict[str, object]:
    """Whether the month is over and closed, its closings, and who closed it."""
    state, people = month_state(reader(), wanted), shop_now().person_names
    return {
        "is_closed": state.is_closed,
        "state": state,
        "people": people,
        "is_over": month_bounds(wanted)[1] < shop_now().day,
    }


def _figures(wanted: str) -> dict[str, object]:
    """The month's figures, the same as text, how its jobs stand to their plans, and the sums of the months up to it."""
    costs = list_month_costs(reader(), wanted)
    figures = get_month_end(reader(), wanted, costs, shop_now())
    jobs = list_jobs_by_number(reader(), map(int, figures.by_job))
    paper = paper_of(reader(), figures, wanted, shop_now().day, jobs)
    sums = list_month_sums(reader(), wanted)
    return {
        "figures": figures,
        "paper": paper,
        "against": _against_plan(wanted, {number: job.id for number, job in jobs.items()}),
        **_put_right(wanted, figures, costs),
        "sums": [(month, net, cost, share_words(share_permille(net - cost, net))) for month, net, cost in sums],
    }


def _against_plan(wanted: str, jobs: Mapping[int, int]) -> dict[int, str]:
    """How each job's share compares with its approved plan, by its number; nothing where nothing was approved, or
    nobody's hour has a cost. `jobs` are ids by number."""
    earned = margins(reader(), jobs.values(), month_bounds(wanted)[1], shop_now())
    known = {number: earned[job_id] for number, job_id in jobs.items() if earned[job_id].is_labour_known}
    return {number: each.margin.words for number, each in known.items() if each.margin.planned.revenue_minor}


def _put_right(wanted: str, figures: MonthEnd, costs: Iterable[CostLine]) -> dict[str, object]:
    """Rework, its share of sales, and materials per paint hour."""
    first, last = month_bounds(wanted)
    spent = figures.all_jobs.costs
    return {
        "put_right": list_put_right(reader(), costs),
        "put_right_share": share_words(share_permille(spent.rework_minor, figures.net_minor)),
        "paint_hour_minor": materials_per_paint_hour(reader(), first, last, spent.materials_minor),
    }


@blueprint.get("/months/<name>/chart.svg")
@needs("reports", "month")
def chart(name: str) -> Response:
    width = NARROW if request.args.get("narrow") else WIDE
    money = ChartMoney(country().currency_symbol, country().currency_places, country().locale)
    answer = Response(chart_svg(_charted(parse_month(name)), money, width), mimetype="image/svg+xml")
    answer.headers["Content-Security-Policy"] = CHART_POLICY
    return answer


def _charted(wanted: str) -> list[MonthProfit]:
    """The months of the chart with their gross profit."""
    shown = charted_months(wanted, first_act_on(reader()))
    sums = list_month_sums(reader(), wanted)
    return [MonthProfit(_short(month), net - cost) for month, net, cost in sums if month in shown]


@blueprint.get("/months/<name>/month-end.pdf")
@needs("reports", "month")
def month_pdf(name: str) -> Response:
    return Response(make_month_pdf(_paper(reader(), parse_month(name))), mimetype="application/pdf")


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
        closing = close_month(act, wanted, dict(paper.summary), numbers=numbers, sha256=kept.sha256)
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


def _quotes(name: str) -> list[tuple[str, int]]:
    """Quotes first given in the month, how many were won, and why the others were lost."""
    given = next(iter(quote_months(reader(), *month_bounds(name))), None)
    if given is None:
        return []
    lost = [(f"Lost: {why.replace('_', ' ') or 'no reason'}", count) for why, count in given.lost.items()]
    return [("Given", given.given), ("Won", given.became_work), *lost]


def _short(name: str) -> str:
    return format_month(name)[:3]
