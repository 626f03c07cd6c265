"""The blueprint of the diary and its board."""

from datetime import date, timedelta
from urllib.parse import urlencode

from flask import Blueprint, render_template, request, url_for

from shopbook.queries.diary.board import DAYS_ACROSS, Board, board_of, read_board
from shopbook.web.diary.bars import lanes_of
from shopbook.web.diary.columns import columns_of, small_days, weeks_of
from shopbook.web.diary.day_lists import lists_of_day
from shopbook.web.diary.late_rows import late_rows
from shopbook.web.parts.act import now, shop_now
from shopbook.web.parts.guards import needs

blueprint = Blueprint("diary", __name__, url_prefix="/diary")


@blueprint.get("/")
@needs("diary", "see")
def week() -> str:
    """The board: six working days from the one in the address, or from today."""
    today, first = shop_now().day, day_asked("day")
    board = board_of(read_board(shop_now(), first or today, now()))
    return render_template("diary/week.html", **board_values(board), is_now=first is None or first == today)


def board_values(board: Board, moved: int | None = None, day: date | None = None) -> dict[str, object]:
    """What every page that shows a board is given; `moved` is the number of a lifted car, `day` the one that a phone
    shows where the address names none."""
    opening, asked = shop_now().opening, day_asked("show") or day
    shown = asked if asked in board.days else board.days[0]
    before = opening.working_days(board.days[0] - timedelta(days=60), board.days[0] - timedelta(days=1))
    after = opening.add_working_days(board.days[-1] + timedelta(days=1), 0)
    return {
        "board": board,
        "today": board.today,
        "columns": columns_of(board, opening),
        "weeks": weeks_of(board),
        "lanes": lanes_of(board, moved),
        "late": late_rows(board),
        "small": small_days(board),
        "lists": lists_of_day(board, shown),
        "shown": shown,
        "show_url": _show_url,
        "earlier": url_for("diary.week", day=before[-DAYS_ACROSS:][0].isoformat()) if before else None,
        "later": url_for("diary.week", day=after.isoformat()),
    }


def _show_url(day: date) -> str:
    """The same page with another day on a phone."""
    return f"{request.path}?{urlencode(request.args.to_dict() | {'show': day.isoformat()})}"


def week_url(day: date) -> str:
    """The board on which a day stands: the one of today where it is there, else one that begins with it."""
    first = shop_now().day
    last = shop_now().opening.add_working_days(first, DAYS_ACROSS - 1)
    return (
        url_for("diary.week", show=day.isoformat())
        if first <= day <= last
        else url_for("diary.week", day=day.isoformat())
    )


def day_asked(name: str) -> date | None:
    """A day in the address; one that cannot be read, or is far off, is passed over."""
    try:
        day = date.fromisoformat(request.args.get(name, ""))
    except ValueError:
        return None
    return day if 2000 <= day.year <= 2200 else None
