"""The blueprint of the jobs, and the one search box."""

from flask import Blueprint, render_template, request

from shopbook.queries.jobs.finding import list_found
from shopbook.web.parts.act import reader
from shopbook.web.parts.guards import needs

blueprint = Blueprint("jobs", __name__, url_prefix="/jobs")


@blueprint.get("/find")
@needs("customers", "see")
def find() -> str:
    typed = request.args.get("q", "").strip()[:200]
    return render_template("jobs/find.html", q=typed, found=list_found(reader(), typed) if typed else [])
