"""The month's paper put together from the book: for the page, the files and the command line alike."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from sqlalchemy.orm import Session

from shopbook.documents.month_end import MonthPaper
from shopbook.documents.month_words import MonthFacts, month_paper
from shopbook.queries.jobs.jobs import list_jobs_by_number
from shopbook.queries.money.owed import owed_as_of
from shopbook.queries.reports.month import get_month_end
from shopbook.queries.reports.taken_back import TakenBack, list_taken_back
from shopbook.queries.shop.book import country_of, get_book
from shopbook.trade.billing.ageing import Ageing
from shopbook.trade.billing.taken_back import TAKEN_BACK_WORDS
from shopbook.trade.countries import Country
from shopbook.trade.measures.days import format_day, month_bounds
from shopbook.trade.results.kept_month import month_numbers
from shopbook.trade.results.month import MonthEnd
from shopbook.web.parts.frame import car_text
from shopbook.web.parts.rows import Job


def compose_month_paper(session: Session, month: str, today: date) -> MonthPaper:
    """The month end in text, as the shop's country writes it; what is owed is as of its last day."""
    return compose_closing(session, month, today)[0]


def compose_closing(session: Session, month: str, today: date) -> tuple[MonthPaper, dict[str, int]]:
    """The same, with the whole numbers that a closing keeps by name."""
    figures = get_month_end(session, month)
    jobs = list_jobs_by_number(session, map(int, figures.by_job))
    owed = owed_as_of(session, min(today, month_bounds(month)[1]))
    return _paper(session, figures, owed, month, today, jobs), month_numbers(figures, owed)


def paper_of(session: Session, figures: MonthEnd, month: str, today: date, jobs: Mapping[int, Job]) -> MonthPaper:
    """The same from figures and jobs that are read already, the jobs by number."""
    owed = owed_as_of(session, min(today, month_bounds(month)[1]))
    return _paper(session, figures, owed, month, today, jobs)


def _paper(
    session: Session, figures: MonthEnd, owed: Ageing, month: str, today: date, jobs: Mapping[int, Job]
) -> MonthPaper:
    book = get_book(session)
    country = country_of(book)
    made = format_day(today, country.date_form)
    facts = MonthFacts(book.shop_name, book.currency, book.paper_size, made, month, country.locale, country.say)
    cars = {str(number): car_text(job.vehicle) if job.vehicle else "Car not named" for number, job in jobs.items()}
    paper = month_paper(facts, figures, owed, lambda minor: country.money(minor, has_symbol=False), cars)
    return replace(
        paper, taken_back=[_taken_back(row, country) for row in list_taken_back(session, *month_bounds(month))]
    )


def _taken_back(row: TakenBack, country: Country) -> tuple[str, str, str, str, str]:
    """Who, day, what, why and how much, in text."""
    day, amount = format_day(row.on, country.date_form), country.money(row.amount_minor, has_symbol=False)
    return (row.person, day, country.say(what_words(row)), row.reason, amount)


def what_words(row: TakenBack) -> str:
    """What it was: "Credit note 3", "Refund, receipt 12, job 7"."""
    own = (
        "" if row.kind == "written_off" else f" {row.number}" if row.subject == "invoice" else f", receipt {row.number}"
    )
    return f"{TAKEN_BACK_WORDS[row.kind]}{own}" + (f", job {row.job_number}" if row.job_number else "")
