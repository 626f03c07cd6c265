"""Each bought part is marked on the estimate and the invoice of a shop in the United States, and the shop's number."""

import pytest
from sqlalchemy.orm import Session

from shopbook.models.jobs import Job
from shopbook.models.money import Invoice, Quote
from shopbook.queries.money.heads import get_head
from shopbook.queries.shop.book import get_book
from shopbook.services.act import Act
from shopbook.services.jobs.parts import add_part
from shopbook.services.money.invoices import issue_invoice
from shopbook.trade.car.part_kinds import PartSource, mark_part
from shopbook.trade.countries import known_country
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.trade.pricing.given import given_from_json
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import GIVEN, make_given_quote, make_yes


def with_part(session: Session, source: str) -> tuple[Job, Quote]:
    job = make_planned_job(session)
    add_part(Act(session, THE_PROGRAM, GIVEN), job.id, name="Door mirror", price_minor=120_00, source=source)
    return job, make_given_quote(session, job)


def on_estimate(quote: Quote) -> str:
    assert quote.given_row is not None
    return " / ".join(item.below for item in given_from_json(quote.given_row.content).words.items)


def on_invoice(invoice: Invoice) -> str:
    return " / ".join(group["below"] for group in invoice.frozen["groups"])


@pytest.mark.parametrize(
    ("source", "word"),
    [
        ("new", "Door mirror, new, from the manufacturer"),
        ("used", "Door mirror, used"),
        ("pattern", "Door mirror, new, aftermarket"),
        ("exchange", "Door mirror, rebuilt"),
    ],
)
def test_a_part_is_marked_on_estimate_and_invoice(session: Session, act: Act, source: str, word: str) -> None:
    """16 CCR 3356 (c)(2) of California: the description of each part says whether it was new, used or rebuilt."""
    job, quote = with_part(session, source)
    assert word in on_estimate(quote)
    make_yes(session, quote)
    assert word in on_invoice(issue_invoice(act, job.id))


def test_one_whose_source_nobody_chose_is_not_marked(session: Session) -> None:
    assert "Door mirror," not in on_estimate(with_part(session, "")[1])


def test_elsewhere_papers_say_nothing_of_it(session: Session) -> None:
    get_book(session).country = "gb"
    session.flush()
    assert "Door mirror, used" not in on_estimate(with_part(session, "used")[1])


def test_the_registration_number_stands_on_every_paper_once_the_shop_has_typed_it(session: Session) -> None:
    """16 CCR 3356 (b)."""
    job = make_planned_job(session)
    assert not any("registration" in line for line in get_head(session, job)["shop_lines"])
    get_book(session).registration_number = "ARD 000123"
    session.flush()
    assert "Repair registration ARD 000123" in get_head(session, job)["shop_lines"]


def test_a_mark_stands_behind_the_name_or_is_added() -> None:
    assert mark_part("Door mirror; refit", "Door mirror", "used") == "Door mirror, used; refit"
    assert mark_part("Pull and paint", "Door mirror", "used") == "Pull and paint; Door mirror, used"
    assert mark_part("", "Door mirror", "used") == "Door mirror, used"
    assert mark_part("Door mirror", "Door mirror", "") == "Door mirror"


def test_every_source_has_its_word_where_papers_mark_parts() -> None:
    assert set(known_country("us").part_marks) == {source.value for source in PartSource}
