"""The month end as the owner looks at it, takes it along and closes it."""

import csv
import re
from io import BytesIO, StringIO

from lxml import html
from pypdf import PdfReader

from tests.clients import ShopClient
from tests.web.rendering import find

CLOSED = "/months/2026-10"


def test_an_empty_month_is_a_page_a_paper_a_table_and_a_chart(client: ShopClient) -> None:
    page = client.text("/months/2026-10")
    assert "October 2026" in page
    paper = client.get("/months/2026-10/month-end.pdf")
    text = PdfReader(BytesIO(paper.data)).pages[0].extract_text()
    assert "Month end October 2026" in text
    assert client.text("/months/2026-10/month-end.csv").startswith("section,code,label,remark,figure")
    assert "<svg" in client.text("/months/2026-10/chart.svg")


def test_each_job_of_the_month_is_named_by_its_car_and_the_chart_says_what_was_invoiced(client: ShopClient) -> None:
    client.press_on("/money/quick", who="Arjun", what="polish", price="1234", kind="labour", means="cash")
    page = client.text("/months/2026-11").split('id="jobs"', 1)[1]
    assert 'href="/jobs/1">1</a><br><span class="small soft">Car not named' in " ".join(page.split())
    assert "Nov 1,234 and" in client.text("/months/2026-11/chart.svg")


def test_a_month_that_is_over_is_closed_once_and_its_paper_is_kept(client: ShopClient) -> None:
    page = client.press_on("/months/2026-10/close")
    assert "October 2026 is closed" in page
    again = client.press("/months/2026-10/close")
    assert "closed already" in client.text(again.headers["Location"])


def test_the_running_month_is_not_closed(client: ShopClient) -> None:
    answer = client.press("/months/2026-11/close")
    assert "not over yet" in client.text(answer.headers["Location"])


def test_a_month_that_is_none_is_answered_in_a_sentence(client: ShopClient) -> None:
    assert client.get("/months/2026-13").status_code == 422


def test_only_the_owner_sees_the_month(client: ShopClient) -> None:
    assert client.signed_in_as("Desk").get("/months/2026-10").status_code == 403


def test_the_spine_marks_the_month_end_and_not_today(client: ShopClient) -> None:
    for address, place in (("/months/2026-10", "Month end"), ("/today", "Today")):
        marked = find(html.fromstring(client.text(address)), "a", aria_current="page")
        assert {link.text_content().strip() for link in marked} == {place}


def test_a_closed_month_is_reopened_with_a_reason_and_closed_again_as_version_2(client: ShopClient) -> None:
    client.press_on(f"{CLOSED}/close")
    assert f'href="{CLOSED}/reopen"' in client.text(CLOSED)
    assert client.press(f"{CLOSED}/reopen", reason="").status_code == 422
    page = client.press_on(f"{CLOSED}/reopen", reason="A credit note was <forgotten>")
    assert "A credit note was &lt;forgotten&gt;" in page
    assert "Close October" in page
    page = client.press_on(f"{CLOSED}/close")
    assert "Version 1" in page
    assert "Version 2" in page
    for version in (1, 2):
        paper = client.get(f"{CLOSED}/closings/{version}.pdf")
        assert "Month end October 2026" in PdfReader(BytesIO(paper.data)).pages[0].extract_text()
    assert client.get(f"{CLOSED}/closings/3.pdf").status_code == 404


def test_a_month_whose_return_is_filed_is_not_reopened(client: ShopClient) -> None:
    client.press_on(f"{CLOSED}/close")
    page = client.press_on(f"{CLOSED}/filed")
    assert "Return filed on Nov 5" in page
    assert f'href="{CLOSED}/reopen"' not in page
    assert "was filed" in client.press(f"{CLOSED}/reopen", reason="A slip").text
    assert "The month stays closed" in client.text(f"{CLOSED}/reopen")


def test_an_open_month_and_an_older_one_say_why_they_are_not_reopened(client: ShopClient) -> None:
    assert "October 2026 is open" in client.text(f"{CLOSED}/reopen")
    assert client.press(f"{CLOSED}/reopen", reason="A slip").status_code == 409
    client.press_on("/months/2026-09/close")
    client.press_on(f"{CLOSED}/close")
    assert "Only the newest closed month" in client.text("/months/2026-09/reopen")
    assert "Reopen October 2026 first" in client.press("/months/2026-09/reopen", reason="A slip").text


def test_only_the_owner_reopens_and_files(client: ShopClient) -> None:
    client.press_on(f"{CLOSED}/close")
    desk = client.signed_in_as("Desk")
    assert desk.press(f"{CLOSED}/reopen", reason="A slip").status_code == 403
    assert desk.press(f"{CLOSED}/filed").status_code == 403
    assert desk.get(f"{CLOSED}/closings/1.pdf").status_code == 403


def test_a_closed_month_shows_what_was_kept_and_a_reopened_one_both(client: ShopClient) -> None:
    client.press_on(f"{CLOSED}/close")
    page = client.text(CLOSED)
    assert "as it was closed, version 1" in page
    assert "Before you close" not in page
    kept = client.text(f"{CLOSED}/month-end.csv")
    link = re.search(r"Newest link.*?([0-9a-f]{64})", client.text(f"{CLOSED}/closings/1"), re.DOTALL)
    paper = "".join(
        page.extract_text() for page in PdfReader(BytesIO(client.get(f"{CLOSED}/closings/1.pdf").data)).pages
    )
    assert link
    assert link[1] in "".join(paper.split()), "whoever keeps the paper can hold the book to it"
    assert client.get(f"{CLOSED}/month-end.pdf").headers["Location"].endswith("/closings/1.pdf")
    client.press_on(f"{CLOSED}/reopen", reason="A note was forgotten")
    assert "not closed yet" in client.text(CLOSED)
    assert "Before you close" in client.text(CLOSED)
    client.press_on(f"{CLOSED}/close")
    assert "as it was closed, version 2" in client.text(CLOSED)
    first = client.text(f"{CLOSED}/closings/1")
    assert "as it was closed, version 1" in first
    assert all(f'href="{CLOSED}/closings/{version}"' in first for version in (1, 2))
    assert client.get(f"{CLOSED}/closings/3").status_code == 404
    again = client.text(f"{CLOSED}/month-end.csv")
    assert [row for row in again.splitlines() if "ewest link" not in row] == [
        row for row in kept.splitlines() if "ewest link" not in row
    ]


def test_page_paper_and_table_begin_with_the_same_three_sentences(client: ShopClient) -> None:
    client.press_on("/money/quick", who="Arjun", what="polish", price="1234", kind="labour", means="cash")
    name = "/months/2026-11"
    words = " ".join(html.fromstring(client.text(name)).xpath("//ul[@class='words']")[0].text_content().split())
    table = list(csv.reader(StringIO(client.text(f"{name}/month-end.csv"))))
    sentences = [row[2] for row in table if row[0] == "sentence"]
    assert len(sentences) == 3
    assert "The one job invoiced made a gross profit of $1,234.00, 100.0 %" in sentences[1]
    paper = PdfReader(BytesIO(client.get(f"{name}/month-end.pdf").data)).pages[0].extract_text()
    for sentence in sentences:
        assert sentence in words
        assert sentence in " ".join(paper.split())
