"""A paper is drawn before its number is: where it cannot be, no number is used and nothing is kept."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import func, select, update
from sqlalchemy.orm import Session

from shopbook.documents.invoice import make_invoice_file
from shopbook.models.customers import Customer
from shopbook.models.money import Invoice, Payment, Receipt
from shopbook.models.session import transaction
from shopbook.models.shop import NumberCounter, Paper
from shopbook.web.money import drawing
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.documents.test_scripts import read

ISSUE = {"supply_on": "2026-11-04", "means": "card", "is_confirmed": "y", "last_number": "", "tax_number": ""}
QUICK = {"who": "Ines Okafor", "what": "Door edge touched in", "price": "60", "kind": "labour", "means": "card"}
DEPOSIT = {"amount": "50", "means": "card", "treatment": "", "is_confirmed": "y", "on": "2026-11-04"}


def kept(app: Flask) -> dict[str, Any]:
    """What the book holds of papers: rows, counters, and files recorded and on the disk."""
    with app.app_context():
        counts = {each.__name__: db.session.scalar(select(func.count()).select_from(each)) for each in KEPT}
        numbers = {row.series: row.last_number for row in db.session.scalars(select(NumberCounter))}
        db.session.remove()
    files = sorted(each.name for each in app.config["SHOPBOOK"].papers_folder.rglob("*") if each.is_file())
    return {**counts, "numbers": numbers, "files": files}


KEPT = (Invoice, Payment, Receipt, Paper)


def broken(_: object) -> bytes:
    raise ValueError("flowable given negative availWidth")


@pytest.mark.parametrize("page", ["invoice", "deposit"])
@pytest.mark.parametrize("maker", ["make_invoice_file", "make_slip_file"])
def test_a_paper_that_cannot_be_drawn_uses_no_number_and_keeps_nothing(
    app: Flask, client: ShopClient, job_number: int, monkeypatch: pytest.MonkeyPatch, page: str, maker: str
) -> None:
    before = kept(app)
    sent = ISSUE if page == "invoice" else {**DEPOSIT, "treatment": "taxed"}
    monkeypatch.setattr(drawing, maker, broken)
    answer = client.press(f"/money/jobs/{job_number}/{page}", **sent)
    assert answer.status_code == 422
    assert any(drawing.NOT_DRAWN in said for said in sentences(answer.text))
    assert kept(app) == before
    monkeypatch.undo()
    client.press_on(f"/money/jobs/{job_number}/{page}", **sent)
    after = kept(app)
    assert (after["Invoice"], after["Receipt"], after["Paper"]) == (1, 1, 2)
    assert (after["numbers"]["invoice"], after["numbers"]["receipt"]) == (1, 1)


def test_a_quick_job_that_cannot_be_drawn_leaves_no_job_either(
    app: Flask, client: ShopClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = kept(app)
    monkeypatch.setattr(drawing, "make_slip_file", broken)
    answer = client.press("/money/quick", **QUICK, is_confirmed="y")
    assert answer.status_code == 422
    assert 'value="Door edge touched in"' in answer.text
    assert kept(app) == before


def test_each_paper_of_an_act_is_drawn_once_before_its_number_and_kept_to_the_byte(
    app: Flask, client: ShopClient, job_number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[bytes] = []

    def drawing_once(make: Callable[[Any], bytes]) -> Callable[[Any], bytes]:
        def made(paper: Any) -> bytes:
            with app.app_context():
                # Another connection than the act's: what it sees is committed.
                assert db.session.scalar(select(func.count()).select_from(Invoice)) == 0
                db.session.remove()
            drawn.append(make(paper))
            return drawn[-1]

        return made

    monkeypatch.setattr(drawing, "make_invoice_file", drawing_once(make_invoice_file))
    client.press_on(f"/money/jobs/{job_number}/invoice", **{**ISSUE, "means": "later"})
    assert len(drawn) == 1
    assert client.get("/money/invoices/1/pdf").data == drawn[0]


def test_a_word_of_200_letters_in_the_customers_name_is_issued_with_its_file(
    app: Flask, client: ShopClient, job_number: int, tmp_path: Path
) -> None:
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        opened.execute(update(Customer).values(name="W" * 200))
    client.press_on(f"/money/jobs/{job_number}/invoice", **ISSUE)
    for place in ("/money/invoices/1/pdf", "/money/payments/1/pdf"):
        answer = client.get(place)
        assert answer.status_code == 200
        assert read(answer.data, tmp_path).replace("\n", "").count("W") >= 200
