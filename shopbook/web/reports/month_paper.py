"""The month's paper put together from the book: for the page, the files, the closing and the command line alike."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from functools import partial

from sqlalchemy.orm import Session

from shopbook.documents.month.figures import counts_section
from shopbook.documents.month.kept import paper_kept
from shopbook.documents.month.profit import House
from shopbook.documents.month.seal import seal_section
from shopbook.documents.month.section import Section, SectionRow
from shopbook.documents.month.tax import TaxWording
from shopbook.documents.month_end import MonthPaper
from shopbook.documents.month_words import MonthFacts, MonthSums, month_paper
from shopbook.queries.money.closings import find_standing_closing, newest_link
from shopbook.queries.reports.put_right import PutRight
from shopbook.queries.reports.taken_back import TakenBack
from shopbook.queries.reports.whole_month import WholeMonth, read_month
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.billing.taken_back import TAKEN_BACK_WORDS
from shopbook.trade.countries import Country
from shopbook.trade.measures.days import format_day, format_month
from shopbook.trade.results.margin import share_permille, share_words
from shopbook.web.parts.frame import car_text
from shopbook.web.parts.rows import MonthClose


def compose_month_paper(session: Session, month: str, today: date) -> MonthPaper:
    """The month in text as the shop's country writes it: of a closed month the paper that its closing kept, else as
    the book stands on `today`."""
    closing = find_standing_closing(session, month)
    if closing is not None:
        return closed_paper(closing)
    shop = ShopOn(session, today)
    return paper_of(shop, read_month(shop, month))


def closed_paper(closing: MonthClose) -> MonthPaper:
    """The paper that a closing kept, as it was said then."""
    return paper_kept(closing.figures, format_month(closing.month))


def compose_closing(session: Session, month: str, today: date) -> tuple[MonthPaper, dict[str, int]]:
    """The month as the book stands, with the newest link of its seal, and the whole numbers that a closing keeps by
    name."""
    shop = ShopOn(session, today)
    read = read_month(shop, month)
    paper, seal = paper_of(shop, read), seal_section(newest_link(session))
    return replace(paper, sections=(*paper.sections, seal)), read.numbers


def paper_of(shop: ShopOn, read: WholeMonth) -> MonthPaper:
    """The paper of a month that is read already."""
    book, country = shop.book, shop.country
    facts = MonthFacts(
        shop=book.shop_name,
        currency=book.currency,
        paper_size=book.paper_size,
        today=read.today,
        month=read.month,
        date_form=country.date_form,
        money=lambda minor: country.money(minor, has_symbol=False),
        sum_of=country.money,
        locale=country.locale,
        say=country.say,
    )
    more = (_quotes(read, country), _rework(read, country), _taken_back(read.taken_back, country))
    taxes = TaxWording(
        facts.money, partial(_long_day, country), country.say, country.tax_word, country.supply_invoice_days
    )
    return month_paper(facts, _sums(read), taxes, more)


def _sums(read: WholeMonth) -> MonthSums:
    left, jobs = read.left, read.jobs.items()
    house = left.even.house
    return MonthSums(
        figures=left.figures,
        work=left.work,
        profit=left.profit,
        house=House(house.wages, house.fixed, house.fees, left.even.even, left.even.owner_labour_minor),
        worst=read.worst,
        paint=read.paint,
        below_zero=read.below_zero,
        owed=read.owed,
        paid=read.paid,
        tax=read.tax,
        until=left.until,
        cars={str(number): car_text(job.vehicle) if job.vehicle else "Car not named" for number, job in jobs},
    )


def _long_day(country: Country, day: date) -> str:
    return format_day(day, country.date_form, is_long=True)


def _quotes(read: WholeMonth, country: Country) -> Section:
    """Quotes first given in the month, how many were won, and why the others were lost."""
    given = read.quotes
    lost = given.lost.items() if given else ()
    rows = [("Given", given.given), ("Won", given.became_work)] if given else []
    rows += [(f"Lost: {why.replace('_', ' ') or 'no reason'}", count) for why, count in lost]
    return counts_section("quotes", country.say("{Estimate}s"), rows)


def _rework(read: WholeMonth, country: Country) -> Section:
    """What a defect cost, by job and cause, and its share of sales."""
    total, net = sum(row.cost_minor for row in read.put_right), read.left.figures.net_minor
    rows = tuple(_put_right(row, country) for row in read.put_right)
    share = share_words(share_permille(total, net))
    note = f"{share} of sales." if rows and net else ""
    title, last = "Rework, by cause", SectionRow("total", "Total", (country.money(total, has_symbol=False),))
    return Section("rework", title, rows, last if rows else None, note=note)


def _put_right(row: PutRight, country: Country) -> SectionRow:
    back = f"{country.word('comeback')} on job {row.job_number}, for job {row.first_number}"
    below = back if row.first_number else f"redone on job {row.job_number}"
    return SectionRow(f"job_{row.job_number}", row.why, (country.money(row.cost_minor, has_symbol=False),), below)


def _taken_back(rows: Sequence[TakenBack], country: Country) -> Section:
    """Who gave, took or moved money back, and why; that there was none is said too."""
    found = tuple(
        SectionRow(
            f"{row.subject}_{row.subject_id}",
            f"{row.person}: {country.say(what_words(row))}",
            (country.money(row.amount_minor, has_symbol=False),),
            " · ".join(filter(None, (format_day(row.on, country.date_form), row.reason))),
        )
        for row in rows
    )
    return Section("taken_back", "Credits, refunds and write-offs", found)


def what_words(row: TakenBack) -> str:
    """What it was: "Credit note 3", "Refund, receipt 12, job 7"."""
    own = (
        "" if row.kind == "written_off" else f" {row.number}" if row.subject == "invoice" else f", receipt {row.number}"
    )
    return f"{TAKEN_BACK_WORDS[row.kind]}{own}" + (f", job {row.job_number}" if row.job_number else "")
