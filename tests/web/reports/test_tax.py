"""The pages behind the month: the basis is asked once and named in the heading, a span is typed, payers sort."""

from html import unescape

import pytest
from flask import Flask

from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences

TAX = "/months/2026-11/tax"
BASIS = "/settings/taxes/basis"


@pytest.fixture
def owner(app: Flask) -> ShopClient:
    return ShopClient(app).signed_in_as("Noor")


def set_basis(owner: ShopClient, basis: str, from_on: str = "2026-11-01") -> str:
    """The page that follows."""
    return owner.press_on(BASIS, tax_basis=basis, from_on=from_on, then=TAX)


def test_the_heading_says_by_invoice_date_and_asks_until_the_basis_is_set(owner: ShopClient) -> None:
    page = owner.text(TAX)
    assert "Sales tax by invoice date" in page
    assert "Set your basis" in page
    after = set_basis(owner, "received")
    assert "Sales tax by money received" in after
    assert "Set your basis" not in after
    assert "Sales tax by invoice date" in owner.text("/months/2026-10/tax")


def test_a_basis_that_changes_within_the_span_is_named_twice(owner: ShopClient) -> None:
    set_basis(owner, "received")
    assert "by invoice date, then by money received" in owner.text("/months/2026-11/tax?months=3")


def test_nothing_is_chosen_beforehand_and_the_page_says_what_to_do(owner: ShopClient) -> None:
    assert "checked" not in owner.text(BASIS).split("Applies from")[0]
    answer = owner.press(BASIS, from_on="2026-11-01")
    assert answer.status_code == 422
    assert "Choose the basis that you told your tax office." in sentences(answer.text)


def test_a_basis_is_not_set_into_a_closed_month(owner: ShopClient, app: Flask) -> None:
    owner.press("/months/2026-10/close")
    answer = owner.press(BASIS, tax_basis="supply", from_on="2026-10-15")
    assert answer.status_code == 422
    assert "The books are closed up to" in unescape(answer.text)
    assert 'value="2026-11-01"' in owner.text(BASIS)


def test_any_span_can_be_typed_and_a_wrong_one_is_said_beside_its_field(owner: ShopClient) -> None:
    assert "November 3, 2026 to November 9, 2026" in owner.text(f"{TAX}?first=2026-11-03&last=2026-11-09")
    wrong = owner.text(f"{TAX}?first=2026-11-09&last=2026-11-03")
    assert "Choose a last day on or after the first." in sentences(wrong)
    assert 'value="2026-11-09"' in wrong
    assert "Enter the last day." in sentences(owner.text(f"{TAX}?first=2026-11-09"))
    assert owner.get(f"{TAX}?first=soon&last=2026-11-03").status_code == 200


def test_the_three_months_end_with_the_month(owner: ShopClient) -> None:
    assert "September 2026 to November 2026" in owner.text(f"{TAX}?months=3")


@pytest.mark.parametrize("page", ["paid", "owed", "payers", "payers?by=days", "payers?by=nothing"])
def test_each_part_of_the_month_has_a_page(owner: ShopClient, page: str) -> None:
    assert "November 2026" in owner.text(f"/months/2026-11/{page}")


def test_only_an_owner_sees_them(app: Flask) -> None:
    desk = ShopClient(app).signed_in_as("Desk")
    for page in ("tax", "paid", "owed", "payers"):
        assert desk.get(f"/months/2026-11/{page}").status_code == 403
    with app.app_context():
        db.session.remove()
