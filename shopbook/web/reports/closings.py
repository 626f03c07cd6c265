"""The closings of a month: each with its paper, the newest reopened with a reason, and its return filed."""

from flask import Response, current_app, url_for
from werkzeug.wrappers import Response as AnyResponse
from wtforms import StringField
from wtforms.validators import Length

from shopbook.outside.files import read_kept
from shopbook.queries.money.closings import get_closing, month_state
from shopbook.queries.shop.book import list_papers
from shopbook.services.money.close import file_return, reopen_month
from shopbook.trade.errors import NotFound
from shopbook.trade.measures.days import format_month, parse_month
from shopbook.web.parts import ActForm, Answer, act_by_form, act_by_press, does, needs, reader
from shopbook.web.parts.fields import Needed
from shopbook.web.reports.blueprint import blueprint


class ReopenForm(ActForm):
    """Why a closed month is opened again."""

    reason = StringField(
        "Reason",
        [
            Needed("Say in a few words why the month is reopened."),
            Length(max=200, message="At most 200 letters here."),
        ],
    )


def closing_file(month: str, version: int) -> str:
    """What the paper of a closing is saved as."""
    return f"month-end-{month}.pdf" if version == 1 else f"month-end-{month}-version-{version}.pdf"


def _page(month: str) -> str:
    return url_for("reports.month", name=month, _anchor="closings")


@blueprint.route("/months/<name>/reopen", methods=["GET", "POST"])
@needs("money", "close")
def reopen(name: str) -> Answer:
    wanted, form = parse_month(name), ReopenForm()
    said = f"{format_month(wanted)} is open again."
    doing = does(lambda act: reopen_month(act, wanted, reason=form.reason.data or ""), _page(wanted), said)
    shown = {"name": wanted, "title": format_month(wanted), "state": month_state(reader(), wanted)}
    return act_by_form(form, "reports/reopen.html", doing, **shown)


@blueprint.post("/months/<name>/filed")
@needs("money", "close")
def filed(name: str) -> AnyResponse:
    wanted = parse_month(name)
    said = f"Return for {format_month(wanted)} filed. The month stays closed."
    return act_by_press(does(lambda act: file_return(act, wanted), _page(wanted), said), _page(wanted))


@blueprint.get("/months/<name>/closings/<int:version>.pdf")
@needs("reports", "month")
def closing_pdf(name: str, version: int) -> Response:
    """The paper of one closing as it was kept then."""
    closing = get_closing(reader(), parse_month(name), version)
    kept = closing.sha256 or next((paper.sha256 for paper in list_papers(reader(), "month_close", closing.id)), "")
    if not kept:
        raise NotFound("There is no paper of this closing.")
    body = read_kept(current_app.config["SHOPBOOK"].papers_folder, kept)
    answer = Response(body, mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="{closing_file(closing.month, version)}"'
    return answer
