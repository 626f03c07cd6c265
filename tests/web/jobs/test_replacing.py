"""Repair or replace: both sums of one panel stand beside each other, and nothing is kept."""

import pytest
from flask import Flask
from sqlalchemy.orm import Session

from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient, sentences
from tests.makers.jobs import make_planned_job
from tests.web.rendering import find, parse


@pytest.fixture
def number(app: Flask) -> int:
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        return make_planned_job(opened, "right_front_door", "left_quarter").number


def sums(page: str) -> list[str]:
    """The last row of the comparison."""
    (row,) = [each for each in find(parse(page), "tr") if each.text_content().strip().startswith("Total")]
    return [cell.text_content().strip() for cell in row][1:]


def dollars(words: str) -> float:
    return float(words.strip("$").replace(",", ""))


def test_a_dearer_part_leaves_the_repair_as_it_is_and_raises_the_other_sum_by_its_price(
    client: ShopClient, number: int
) -> None:
    url = f"/jobs/{number}/repair-or-replace?panel=right_front_door&part_minor="
    (repair, cheap), (again, dear) = sums(client.text(url + "100")), sums(client.text(url + "600"))
    assert repair == again
    assert dollars(dear) - dollars(cheap) == pytest.approx(500)


def test_a_welded_panel_gets_a_hint_only(client: ShopClient, number: int) -> None:
    page = client.text(f"/jobs/{number}/repair-or-replace?panel=left_quarter&part_minor=400")
    assert "only a rough guide" in page


@pytest.mark.parametrize("typed", ["", "lots", "-5"])
def test_a_price_that_is_none_is_refused_beside_its_field(client: ShopClient, number: int, typed: str) -> None:
    answer = client.get(f"/jobs/{number}/repair-or-replace?panel=right_front_door&part_minor={typed}")
    assert answer.status_code == 422
    assert sentences(answer.text)
    assert "Total" not in answer.text


def test_a_panel_that_is_not_hurt_is_not_compared(client: ShopClient, number: int) -> None:
    assert client.get(f"/jobs/{number}/repair-or-replace?panel=roof&part_minor=100").status_code == 422
