"""The text that tells a customer that the car is ready later than promised, with the new day."""

from flask import render_template

from shopbook.queries.jobs.jobs import get_job
from shopbook.trade.errors import RuleBroken
from shopbook.web.diary.routes import blueprint
from shopbook.web.parts import needs, reader, shop_now
from shopbook.web.parts.frame import promise_text, spoken_car_of
from shopbook.web.parts.rows import Job
from shopbook.web.parts.sending import send_to


@blueprint.get("/jobs/<int:number>/later")
@needs("diary", "change")
def later(number: int) -> str:
    job = get_job(reader(), number)
    if job.promise_on is None:
        raise RuleBroken("No day is promised. Set one first.")
    return render_template("diary/later.html", job=job, its=send_to(job.customer, "a new day", later_text(job)))


def later_text(job: Job) -> str:
    """The new day in words, and that the shop is sorry; a day that is past is none to tell."""
    shop = shop_now()
    is_ahead = job.promise_on is not None and job.promise_on >= shop.day
    new_day = f"It will be ready {promise_text(job)}." if is_ahead else "We will tell you the new day."
    return (
        f"{shop.book.shop_name}: your {spoken_car_of(job)} is taking longer than we said. {new_day} "
        "We are sorry for the wait."
    )
