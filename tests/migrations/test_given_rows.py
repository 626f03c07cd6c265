"""Old given quotes and receipts are reconstructed at the upgrade: every sum after it equals the sum before."""

import json
from datetime import timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.money import GivenQuote, Payment, Quote, Receipt
from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from shopbook.queries.money.approvals import agreed_sums_of
from shopbook.queries.money.quotes import get_quote, sum_of_quote
from shopbook.queries.money.receipts import find_receipt
from shopbook.services.act import Act
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.trade.permissions import Role
from shopbook.trade.pricing.given import given_from_json
from tests.conftest import NOON
from tests.makers import make_book, make_person
from tests.makers.billing import ARCH, BUMPER, DOOR, QUARTER, add_quote, make_job, set_tax

BEFORE = "20261130_paint_materials"


def fill(session: Session) -> None:
    """Two jobs: with a discount, an extra, an estimate, a held deposit; the rate changed since; and a draft."""
    make_book(session)
    owner = make_person(session, "Noor", Role.OWNER, Role.DESK)
    job = make_job(session, NOON)
    add_quote(session, job, job.opened_at, [QUARTER, DOOR], taken=["right_quarter"], discount_minor=1234)
    add_quote(session, job, NOON, [ARCH], kind="extra")
    job.ready_at = NOON
    session.flush()
    take_deposit(Act(session, owner, NOON), job.id, amount_minor=5000, means="cash", treatment="held")
    issue_invoice(Act(session, owner, NOON + timedelta(minutes=1)), job.id)
    later = NOON + timedelta(minutes=2)
    take_payment(Act(session, owner, later), job_id=job.id, amount_minor=90000, means="card", reference="77")
    other = make_job(session, NOON)
    add_quote(session, other, NOON, [BUMPER], is_estimate=True, up_to_minor=40000, has_tax_inside=True)
    set_tax(session, "sales", "Sales tax", 9000, ["materials", "part", "colour"], NOON.date() + timedelta(days=1), NOON)


def read(session: Session) -> tuple[object, object, object]:
    quotes = [get_quote(session, key) for key in session.scalars(select(Quote.id).order_by(Quote.id))]
    receipts = [find_receipt(session, row) for row in session.scalars(select(Payment).order_by(Payment.id))]
    sums = [sum_of_quote(session, quote) for quote in quotes]
    told = [_as_before(json.dumps({**row, "head": row["head"]["job"]})) for row in receipts if row]
    return sums, agreed_sums_of(session, {quote.job_id for quote in quotes}), told


def _as_before(told: str) -> str:
    """In the words of the migration, which stay those of its day."""
    return told.replace("Unused credit", "On account")


def test_an_old_books_quotes_and_receipts_come_to_what_they_came_to(url: str) -> None:
    engine = make_engine(url)
    with Session(engine.connect().execution_options(**{WRITES: True})) as session:
        fill(session)
        session.commit()
        before = read(session)
        given = {row.quote_id: given_from_json(row.content).priced for row in session.scalars(select(GivenQuote))}
        session.connection().close()
    engine.dispose()
    downgrade_schema(url, BEFORE)
    upgrade_schema(url)
    with Session(engine) as session:
        rows = list(session.scalars(select(GivenQuote)))
        assert {row.quote_id: given_from_json(row.content).priced for row in rows} == given
        assert all(row.is_reconstructed and given_from_json(row.content).words is None for row in rows)
        assert all(session.scalars(select(Receipt.is_reconstructed)))
        assert read(session) == before
    engine.dispose()
