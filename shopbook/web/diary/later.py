"""The text that tells a customer that the car is ready later than promised, with the new day."""

from flask import render_template

from shopbook.queries.jobs.jobs import get_job
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.half_days import half_day_words
from shopbook.web.diary.routes import blueprint
from shopbook.web.parts import country, needs, reader, shop_now
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
    """The new day in words, and that the shop is sorry."""
    car = " ".join(each for each in (job.vehicle.colour_name, job.vehicle.description) if each) if job.vehicle else ""
    shop = shop_now()
    form = country().date_form
    day = half_day_words(job.promise_on, job.promise_half, shop.day, form) if job.promise_on else ""
    return (
        f"{shop.book.shop_name}: your {car or 'car'} is taking longer than we said. It will be ready {day}. "
        "We are sorry for the wait."
    )
