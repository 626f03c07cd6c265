"""The price at the kerb as it is sent: kept alone, kept with the yes that was given beside it, or not at all."""

import io
import re
from typing import Any

import pytest
from sqlalchemy import select

from shopbook.models.jobs import Job
from shopbook.models.money import Approval, ApprovalGroup, Quote
from shopbook.outside.pictures import NO_IMAGE
from shopbook.queries.money.planned import planned_groups
from shopbook.web.parts.act import db, writer
from tests.clients import ShopClient, photo
from tests.conftest import NOON
from tests.makers.shop import forget_costs
from tests.web.said import NO_ANSWER, QUOTED

KERB: dict[str, Any] = {
    "panel": ["right_front_door", "right_rear_door"],
    "size.right_front_door": "M",
    "paint.right_front_door": "paint",
    "size.right_rear_door": "S",
    "paint.right_rear_door": "no_paint",
    "price.right_rear_door": "160.00",
    "listed.right_rear_door": "18000",
    "who": "555-0164",
    "wrong": "Two door dings from a car park",
    "days": "3",
}


def test_a_kerb_price_becomes_a_job_with_damage_plan_and_quote(client: ShopClient) -> None:
    page = client.press_on("/jobs/kerb", **KERB)
    assert "Job 1" in page
    assert "Two door dings" in page
    assert "Pull" in page or "dent" in page
    assert "555-0164" in client.text("/jobs/find?q=0164")


@pytest.mark.parametrize("changed", [{}, {"paint.right_rear_door": "blend"}, {"count.right_rear_door": "12"}])
def test_the_price_with_tax_at_the_kerb_is_the_price_with_tax_on_its_quote(
    client: ShopClient, changed: dict[str, str]
) -> None:
    told = client.press("/jobs/kerb", again="yes", **(KERB | changed)).text
    told = told.split("With tax</span>", 1)[1].split("</b>")[0].split(">")[-1]
    client.press_on("/jobs/kerb", **(KERB | changed))
    assert f"Total with tax: {told}<" in client.text("/money/quotes/1")


def test_what_is_said_at_the_kerb_is_said_with_its_tax_too(client: ShopClient) -> None:
    page = client.press("/jobs/kerb", again="yes", **KERB).text
    told = page.split("With tax</span>", 1)[1].split("</b>")[0].split(">")[-1]
    small = page.split('id="kerb-small"', 1)[1].split("</span>")[0]
    assert f"3 days, {told} with tax" in small
    assert f", {told} with tax. Ask me before doing anything else." in page


def test_what_the_hours_of_the_plan_would_make_of_it_is_said_to_the_shop_whatever_price_is_typed(
    client: ShopClient,
) -> None:
    """The plan of two doors at the shop's own rates, beside a list that says otherwise and a price typed over it."""
    said = {
        re.findall(r"By your hours it would be \$([\d,.]+)\.", client.press("/jobs/kerb", again="yes", **given).text)[0]
        for given in (KERB, KERB | {"price.right_rear_door": "9,999.00"})
    }
    client.press_on("/jobs/kerb", **KERB)
    with client.app.app_context():
        groups = planned_groups(db.session(), db.session.scalars(select(Job)).one(), NOON.date())
        kept = sum(line.amount_minor for group in groups for line in group.lines)
    assert said == {f"{kept / 100:,.2f}"}, "what the plan that was kept comes to by its hours"


def test_what_to_look_at_first_stands_before_the_plan_and_the_damage(client: ShopClient) -> None:
    page = client.press_on("/jobs/kerb", **KERB)
    places = [page.index(f'id="{each}"') for each in ("warnings", "plan", "damage")]
    assert places == sorted(places)


def test_a_kerb_price_that_was_only_saved_is_a_draft_and_nobody_is_asked(client: ShopClient) -> None:
    page = client.press_on("/jobs/kerb", **KERB)
    assert QUOTED not in page
    assert '<a class="button" href="/money/quotes/1">Issue the estimate</a>' in page
    assert NO_ANSWER not in client.text("/today")


def test_a_kerb_price_that_was_said_stands_on_its_job_and_waits_for_the_answer(client: ShopClient) -> None:
    page = client.press_on("/jobs/kerb", **KERB, is_said="y")
    told = client.text("/money/quotes/1").split("Total with tax: ", 1)[1].split("<")[0]
    stands = page.split('id="money"', 1)[1].split("</section>")[0]
    assert f"{QUOTED}</b></dt><dd><b>{told}<" in stands
    assert "Approved" not in stands
    assert '<a class="button" href="/money/quotes/1">Get an answer</a>' in page
    assert NO_ANSWER in client.text("/today")
    assert '<a class="button quiet" href="/jobs/1/check-in">Check in</a>' in page


def test_a_margin_is_not_said_before_anybodys_hour_has_a_cost(client: ShopClient) -> None:
    with client.app.app_context(), writer() as session:
        forget_costs(session)
    page = client.press_on("/jobs/kerb", **KERB)
    assert "so the margin is not known" in page
    assert "Margin if everything is approved</dt><dd>not known yet" in page


def test_a_second_press_of_the_kerb_price_makes_no_second_job(client: ShopClient) -> None:
    answers = [client.press("/jobs/kerb", key="once", **KERB) for _ in range(2)]
    assert {answer.headers["Location"] for answer in answers} == {"/jobs/1"}
    assert client.get("/jobs/2").status_code == 404


def test_keep_with_yes_leads_to_the_yes(client: ShopClient) -> None:
    answer = client.press("/jobs/kerb", **KERB, then="yes")
    assert answer.status_code == 303
    assert answer.headers["Location"].endswith("/approval")


def shown_at(client: ShopClient) -> str:
    """What the page with these panels and prices says that a yes on it is for."""
    return client.press("/jobs/kerb", again="yes", **KERB).text.split('name="shown" value="')[1].split('"')[0]


def test_price_and_yes_at_the_kerb_are_kept_with_one_press(client: ShopClient) -> None:
    given = KERB | {"then": "here", "said_by": "Mia", "signature": "M10 40L20 50L30 40", "shown": shown_at(client)}
    answers = [client.press("/jobs/kerb", key="once", **given) for _ in range(2)]
    assert {answer.headers["Location"] for answer in answers} == {"/jobs/1"}
    with client.app.app_context():
        quote, approval = db.session.scalars(select(Quote)).one(), db.session.scalars(select(Approval)).one()
        job = db.session.scalars(select(Job)).one()
        taken = db.session.scalars(select(ApprovalGroup.is_taken)).all()
        assert (approval.quote_id, approval.said_by, approval.means, approval.signature) == (
            quote.id,
            "Mia",
            "signed",
            "M10 40L20 50L30 40",
        )
        assert (quote.given_at, job.agreed_at) == (approval.at, approval.at)
        assert list(taken) == [True, True]


def test_a_yes_said_at_the_kerb_is_the_customers_if_that_is_pressed(client: ShopClient) -> None:
    given = KERB | {"who": "Mia Brandt 555-0164", "then": "here", "shown": shown_at(client)}
    answer = client.press("/jobs/kerb", **given)
    assert "Choose how it was approved" in answer.text
    answer = client.press("/jobs/kerb", **given, means="in_person")
    assert "Enter the name of the person who approved." in answer.text
    client.press_on("/jobs/kerb", **given, means="in_person", whose="customer")
    with client.app.app_context():
        approval = db.session.scalars(select(Approval)).one()
        assert (approval.said_by, approval.means) == ("Mia Brandt", "in_person")


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"said_by": ""}, "Enter the name of the person who approved."),
        ({"signature": "<script>"}, "The signature could not be read"),
        ({"price.right_rear_door": "170"}, "The price or the panels have changed since"),
        ({"paint.right_front_door": "no_paint"}, "The price or the panels have changed since"),
        ({"shown": ""}, "The price or the panels have changed since"),
        ({"then": ""}, "There is a signature"),
    ],
)
def test_a_yes_at_the_kerb_that_cannot_be_kept_keeps_no_price_either(
    client: ShopClient, given: dict[str, Any], sentence: str
) -> None:
    whole = KERB | {"then": "here", "said_by": "Mia", "signature": "M10 40L20 50", "shown": shown_at(client)}
    answer = client.press("/jobs/kerb", **(whole | given))
    assert answer.status_code == 422
    assert sentence in answer.text
    assert client.get("/jobs/1").status_code == 404


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"who": ""}, "Enter a name, a phone number or a license plate"),
        ({"panel": []}, "at least one damaged panel"),
        ({"price.right_rear_door": "a lot"}, "a lot"),
        ({"price.right_rear_door": "-5"}, "a price of zero or more"),
        ({"days": "soon"}, "working days"),
        ({"count.right_rear_door": "many"}, "Enter the number of small dents"),
        ({"who": "x" * 201}, "at most 200 characters"),
    ],
)
def test_a_kerb_price_that_cannot_be_kept_says_why_and_keeps_what_was_typed(
    client: ShopClient, given: dict[str, Any], sentence: str
) -> None:
    answer = client.press("/jobs/kerb", **(KERB | given))
    assert answer.status_code == 422
    assert sentence in answer.text
    if "price.right_rear_door" not in given and given.get("panel") != []:
        assert 'value="160.00"' in answer.text
    assert client.get("/jobs/1").status_code == 404


def test_unknown_panels_and_steps_at_the_kerb_are_passed_over(client: ShopClient) -> None:
    page = client.text("/jobs/kerb?panel=moon&panel=bonnet&panel=bonnet&size.bonnet=XXL&paint.bonnet=gold")
    assert page.count('data-card="') == 1


def test_a_photo_survives_a_refusal_at_the_kerb(client: ShopClient) -> None:
    refused = client.press("/jobs/kerb", **(KERB | {"who": ""}), photo=photo())
    assert "photo 1 saved" in refused.text
    kept = refused.text.split('name="kept" value="')[1].split('"')[0]
    page = client.press_on("/jobs/kerb", **KERB, kept=kept)
    assert "/jobs/pictures/1/small" in page


def test_a_file_that_is_no_picture_is_said_at_the_kerb(client: ShopClient) -> None:
    answer = client.press("/jobs/kerb", **KERB, photo=(io.BytesIO(b"no picture"), "note.jpg"))
    assert answer.status_code == 422
    assert NO_IMAGE in answer.text
