"""The standards that were off in a month, each with the press that takes a new one."""

from flask import request, url_for
from werkzeug.wrappers import Response

from shopbook.queries.reports.estimates import list_estimates_out
from shopbook.services.reports.learning import take_taught_standard
from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.measures.days import month_bounds, parse_month
from shopbook.web.parts import Act, Done, act_by_press, needs, reader, shop_now
from shopbook.web.reports.blueprint import blueprint


def standards_values(wanted: str) -> dict[str, object]:
    """What `reports/_standards.html` is drawn from; month "2026-11"."""
    return {
        "standards": list_estimates_out(reader(), *month_bounds(wanted), day=shop_now().day),
        "hours_beside": hours_beside,
        "name_of_month": wanted,
    }


def hours_beside(yours: int, standard: int) -> tuple[str, str]:
    """Two figures in hours, or in minutes where hours with one decimal are the same: "1.9 h" and "1.7 h", "18 min" and
    "16 min"."""
    hours = to_tenths(yours), to_tenths(standard)
    return hours if hours[0] != hours[1] else (f"{yours} min", f"{standard} min")


@blueprint.post("/months/<name>/standards/<code>/take")
@needs("shop", "set")
def take_standard(name: str, code: str) -> Response:
    back = url_for("reports.month", name=parse_month(name), _anchor="standards")
    permille = request.form.get("permille", type=int) or 0

    def doing(act: Act) -> Done:
        taught = take_taught_standard(act, code, permille)
        return Done(back, f"In use from today, from your last {taught.cases}. Approved plans stay as they are.")

    return act_by_press(doing, back)
