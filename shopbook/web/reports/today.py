"""Today: the desk's morning on one page, and the text that tells a customer that the car is ready."""

from datetime import datetime, timedelta
from typing import TypedDict

from flask import g, render_template

from shopbook.queries.jobs.jobs import get_job
from shopbook.queries.money.accounts import read_accounts_for
from shopbook.queries.money.owed import stands_of
from shopbook.queries.reports.taken_back import TakenBack, taken_back_by_others
from shopbook.queries.reports.today import Today, get_today
from shopbook.queries.shop.dated_papers import list_papers_due
from shopbook.trade.agreeing.words import LOST_WORDS
from shopbook.trade.air.waste import PAPER_WORDS
from shopbook.trade.car.damage import SKILL_WORDS
from shopbook.web.parts.act import now, reader, shop_now
from shopbook.web.parts.frame import clock_text, money, spoken_car_of
from shopbook.web.parts.guards import needs
from shopbook.web.parts.near import near_words
from shopbook.web.parts.rows import Job
from shopbook.web.parts.sending import send_to
from shopbook.web.reports.blueprint import blueprint
from shopbook.web.reports.cars import CarWords, words_of_car
from shopbook.web.reports.first import FirstWords, first_words
from shopbook.web.reports.month_paper import what_words
from shopbook.web.reports.safe_copy import find_safe_copy
from shopbook.web.reports.waits import Strip, strip_of


@blueprint.get("/today")
@needs("reports", "today")
def today() -> str:
    shown, moment = get_today(reader(), now(), shop_now()), now()
    return render_template(
        "reports/today.html",
        today=shown,
        debts=shown.debts if g.actor.may("money", "see") else (),
        clock=clock_text(moment),
        skill_words=SKILL_WORDS,
        lost_words=LOST_WORDS,
        copy=find_safe_copy(shop_now(), moment),
        papers=list_papers_due(shop_now()) if g.actor.may("reports", "month") else [],
        taken_back=_taken_back(),
        **_rows(shown, moment),
        what_words=what_words,
        paper_words=PAPER_WORDS,
        near=lambda day: near_words(day, shown.on),
        day_of=shop_now().day_of,
        said=lambda at: f"{near_words(shop_now().day_of(at), shown.on)} {clock_text(at)}",
    )


class _Rows(TypedDict):
    first: list[FirstWords]
    cars: list[CarWords]
    strips: list[Strip]


def _rows(shown: Today, moment: datetime) -> _Rows:
    """Rows in words; cars that stand in First are the last of the list, and windows that close the first of theirs."""
    named = {row.job.id for row in shown.first}
    strips = [strip_of(wait, shown.opening, moment) for wait in shown.waits]
    return {
        "first": [first_words(row, shown.on) for row in shown.first],
        "cars": [words_of_car(car, shown.on) for car in sorted(shown.cars, key=lambda car: car.job.id in named)],
        "strips": sorted(strips, key=lambda strip: not strip.is_pressing),
    }


@blueprint.get("/today/<int:number>/ready")
@needs("reports", "today")
def tell(number: int) -> str:
    job = get_job(reader(), number)
    return render_template(
        "reports/tell.html", job=job, its=send_to(job.customer, "your car is ready", ready_text(job))
    )


def ready_text(job: Job) -> str:
    """The message that a car is ready: what is due, and until when the shop is open today."""
    day = shop_now().day
    stands = stands_of(read_accounts_for(shop_now(), [job]))[job.id]
    lines = [f"{shop_now().book.shop_name}: your {spoken_car_of(job)} is ready."]
    if due := stands.owed_by(job.customer.id if job.customer else None, day):
        lines.append(f"Total due: {money(due)}.")
    stretches = shop_now().on(day).opening.stretches_on(day)
    if stretches and now() < stretches[-1][1]:
        lines.append(f"We are open today until {clock_text(stretches[-1][1])}.")
    return " ".join(lines)


def _taken_back() -> list[TakenBack]:
    """What others credited, refunded, moved, reversed or wrote off since yesterday; only the owner is told."""
    if not g.actor.may("reports", "month"):
        return []
    return taken_back_by_others(reader(), shop_now().day - timedelta(days=1), g.actor.person_id)
