"""The pages of quotes and yeses, pressed as desk and floor press them."""

import re
from datetime import UTC, datetime
from io import BytesIO

import pytest
from PIL import Image
from pypdf import PdfReader
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from shopbook.models.customers import Customer
from shopbook.models.money import Approval, Quote
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import Book, Paper
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences

TODAY = datetime(2026, 11, 5, 14, 0, tzinfo=UTC)


def edit_fields(page: str) -> dict[str, str]:
    """What the editing form holds, as a browser would send it back."""
    form = page[page.index('id="quote"') : page.index("</form>", page.index('id="quote"'))]
    found = dict(re.findall(r'<input[^>]*?name="([^"]+)"[^>]*?value="([^"]*)"', form))
    areas = re.findall(r'<textarea[^>]*name="([^"]+)"[^>]*>\s?(.*?)</textarea>', form, re.DOTALL)
    picked = re.findall(r'<select[^>]*name="([^"]+)".*?<option selected value="([^"]*)"', form, re.DOTALL)
    kept = {name: value for name, value in {**found, **dict(areas), **dict(picked)}.items() if "is_out" not in name}
    return {name: value for name, value in kept.items() if name not in {"csrf_token", "act_key"}} | {
        "kind_of_price": "fixed"
    }


def test_a_draft_is_shown_given_and_its_paper_kept(quoted: ShopClient) -> None:
    assert "Draft estimate 1" in quoted.text("/money/quotes/1")
    page = quoted.press_on("/money/quotes/1/give")
    assert "Total" in page
    assert "sms:" in page
    assert quoted.count(Paper) == 1
    kept = quoted.get("/money/quotes/1/pdf")
    assert kept.mimetype == "application/pdf"
    text = PdfReader(BytesIO(kept.data)).pages[0].extract_text()
    assert "Draft" not in text
    assert "November 5, 2026" in text
    assert quoted.get("/money/quotes/1/pdf").data == kept.data


def test_a_draft_paper_says_that_it_is_one(quoted: ShopClient) -> None:
    text = PdfReader(BytesIO(quoted.get("/money/quotes/1/pdf").data)).pages[0].extract_text()
    assert "DRAFT" in text


def test_a_double_press_gives_once(quoted: ShopClient) -> None:
    answers = [quoted.press("/money/quotes/1/give", key="one") for _ in range(2)]
    assert {answer.status_code for answer in answers} == {303}
    assert quoted.count(Paper) == 1


def test_lines_and_terms_are_typed_and_kept(quoted: ShopClient) -> None:
    fields = edit_fields(quoted.text("/money/quotes/1/edit"))
    fields |= {"groups-0-price": "623.00", "discount": "20", "not_included": "Alloy wheel"}
    last = max(int(each) for each in re.findall(r"groups-0-lines-(\d+)-words", " ".join(fields)))
    fields |= {f"groups-0-lines-{last}-words": "Clip set", f"groups-0-lines-{last}-amount": "18.50"}
    fields |= {f"groups-0-lines-{last}-kind": "part"}
    page = quoted.press_on("/money/quotes/1/edit", **fields)
    assert "623.00" in page
    assert "Alloy wheel" in page
    assert "$20.00, already taken off" in page


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("groups-0-price", "abc", "Enter an amount, for example"),
        ("groups-0-price", "-5", "not below zero"),
        ("discount", "999999", "discount is more"),
        ("deposit", "1e9", "Enter an amount, for example"),
        ("valid_until", "2026-01-01", "today or a later day"),
        ("groups-0-title", "x" * 201, "at most 200"),
        ("revision", "7", "has changed this estimate"),
    ],
)
def test_what_cannot_be_meant_is_said_and_what_was_typed_stays(
    quoted: ShopClient, field: str, typed: str, says: str
) -> None:
    fields = edit_fields(quoted.text("/money/quotes/1/edit")) | {"words": "Old parts are kept", field: typed}
    answer = quoted.press("/money/quotes/1/edit", **fields)
    assert answer.status_code in {409, 422}
    assert any(says in sentence for sentence in sentences(answer.text)), sentences(answer.text)
    assert "Old parts are kept" in answer.text


def test_a_second_way_is_added_and_both_cannot_be_taken(quoted: ShopClient) -> None:
    with quoted.app.app_context():
        group = db.session.scalars(select(Quote)).one()
        db.session.remove()
    assert group
    quoted.press_on("/money/quotes/1/groups/1/second-way")
    quoted.press_on("/money/quotes/1/give")
    answer = quoted.press(
        "/money/quotes/1/approval", groups=["1", "3"], means="phone", taken_by="1", said_by="Ines", revision="3"
    )
    assert answer.status_code == 422
    assert any("two ways" in sentence for sentence in sentences(answer.text))


def test_the_owners_yes_is_signed_and_stands_on_the_paper(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    answer = quoted.press(
        "/money/quotes/1/approval",
        groups=["1"],
        means="signed",
        said_by="Ines <Okafor>",
        signature="M60 72L68 38",
        revision="2",
    )
    assert answer.status_code == 303, sentences(answer.text)
    page = quoted.text("/money/quotes/1")
    assert "Please do item 1." in page
    assert "M60 72L68 38" in page
    assert "Ines &lt;Okafor&gt;" in page


def test_a_typed_name_stands_in_for_a_signature_that_was_not_drawn(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    answer = quoted.press("/money/quotes/1/approval", groups=["1", "2"], means="signed", said_by="Ines", revision="2")
    assert answer.status_code == 303
    assert "name typed" in quoted.text("/money/quotes/1")


def test_a_yes_by_text_keeps_the_picture_of_the_message(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    body = BytesIO()
    Image.new("RGB", (40, 60), "white").save(body, "PNG")
    body.seek(0)
    sent = {"groups": ["1"], "means": "text", "said_by": "Ines", "revision": "2", "picture": (body, "message.png")}
    assert quoted.press("/money/quotes/1/approval", **sent).status_code == 303
    with quoted.app.app_context():
        assert db.session.scalars(select(Approval)).one().picture_id is not None
        db.session.remove()


def test_a_message_that_is_no_picture_is_said_beside_its_field(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    sent = {"groups": ["1"], "means": "text", "said_by": "Ines", "revision": "2"}
    answer = quoted.press("/money/quotes/1/approval", picture=(BytesIO(b"no picture"), "message.png"), **sent)
    assert answer.status_code == 422
    assert quoted.count(Approval) == 0
    assert 'value="Ines"' in answer.text


def test_the_payers_yes_keeps_an_amount_and_begins_no_work(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    answer = quoted.press(
        "/money/quotes/1/payer-approval", customer="1", amount="785.04", means="mail", said_by="20418-A", revision="2"
    )
    assert answer.status_code == 303, sentences(answer.text)
    page = quoted.text("/money/quotes/1")
    assert "up to $785.04" in page
    assert "do the items ticked above" in page


def test_the_floor_tells_of_an_extra_without_seeing_a_price(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    quoted.press("/money/quotes/1/approval", groups=["1"], means="phone", taken_by="1", said_by="Ines", revision="2")
    floor = quoted.signed_in_as("Dana")
    assert "Set price" not in floor.text("/money/jobs/1/extra")
    answer = floor.press("/money/jobs/1/extra", title="Rust behind the arch", body="0.4", price="1.00")
    assert answer.status_code == 303, sentences(answer.text)
    assert floor.get("/money/quotes/2").status_code == 403
    assert "26.00" in quoted.signed_in_as("Noor").text("/money/quotes/2")


def test_who_pays_is_settled_and_a_second_rest_is_refused(quoted: ShopClient) -> None:
    fields = {
        "payers-0-customer": "2",
        "payers-0-rule": "excess",
        "payers-0-amount": "250",
        "payers-1-customer": "1",
        "payers-1-rule": "rest",
        "payers-1-reference": "claim 77-20418",
    }
    assert quoted.press("/money/jobs/1/payers", **fields).status_code == 303
    page = quoted.text("/money/quotes/1")
    assert "deductible $250.00" in page
    assert "Millbrook Mutual, claim 77-20418" in page
    answer = quoted.press("/money/jobs/1/payers", **(fields | {"payers-0-rule": "rest"}))
    assert answer.status_code == 422
    assert any("pay the rest" in sentence for sentence in sentences(answer.text))


def test_a_lost_quote_calls_the_job_off(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    assert "<summary>Lost</summary>" in quoted.text("/money/quotes/1")
    assert quoted.press("/money/quotes/1/lose", why="price").status_code == 303
    assert "Canceled" in quoted.text("/jobs/1")


def test_unknown_quotes_and_jobs_are_pages_and_not_errors(quoted: ShopClient) -> None:
    for url in ("/money/quotes/99", "/money/quotes/99/pdf", "/money/quotes/99/approval", "/money/jobs/99/payers"):
        assert quoted.get(url).status_code == 404, url
    assert quoted.press("/money/quotes/99/give").status_code == 404


def test_the_job_page_shows_both_kinds_of_yes(quoted: ShopClient) -> None:
    quoted.press_on("/money/quotes/1/give")
    assert "<h2>Approvals</h2>" in quoted.text("/jobs/1")
    assert "The work" in quoted.text("/jobs/1")


@pytest.mark.parametrize(
    ("country", "is_registered", "rule"),
    [("gb", True, "excess_and_tax"), ("gb", False, "rest"), ("us", True, "rest")],
)
def test_an_owner_registered_for_the_tax_is_offered_the_excess_and_the_tax_where_the_country_has_it_so(
    quoted: ShopClient, country: str, is_registered: bool, rule: str
) -> None:
    engine = make_engine(quoted.app.config["SQLALCHEMY_DATABASE_URI"])
    with Session(engine) as opened, transaction(opened):
        opened.execute(update(Book).values(country=country))
        opened.execute(update(Customer).values(is_tax_registered=is_registered))
    engine.dispose()
    page = quoted.text("/money/jobs/1/payers")
    row = page[page.index('name="payers-0-rule"') :]
    assert re.findall(r'<option selected value="([^"]*)"', row)[0] == rule
