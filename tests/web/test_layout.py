"""Claims about the frame of a page, the error pages and the content policy that all templates keep."""

import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from lxml import html

from tests.web.rendering import STATIC, TEMPLATES, find, make_context, make_environment, render

ERROR_PAGES = sorted(f"errors/{path.name}" for path in TEMPLATES.glob("errors/[0-9]*.html"))


@pytest.mark.parametrize("path", sorted(TEMPLATES.rglob("*.html")), ids=lambda p: str(p.relative_to(TEMPLATES)))
def test_no_template_holds_a_style_or_an_inline_script(path: Path) -> None:
    text = re.sub(r"\{#.*?#\}", "", path.read_text(encoding="utf-8"), flags=re.S)
    assert not re.search(r"\sstyle\s*=", text)
    assert "<style" not in text
    assert not re.search(r"\son[a-z]+\s*=\s*[\"']", text)
    assert "javascript:" not in text
    assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", text))


@pytest.mark.parametrize("path", sorted(STATIC.iterdir()), ids=lambda p: p.name)
def test_no_static_file_reaches_outside_the_shop(path: Path) -> None:
    text = path.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
    assert not re.search(r"https?://|@import|\beval\(|new Function|\.style\b|innerHTML", text)


def test_every_module_that_a_page_asks_for_is_there() -> None:
    asked = re.findall(r'src="/static/([^"]+)"', render("_bare.html"))
    assert asked
    assert {*asked} == {path.name for path in STATIC.glob("*.js")}


def test_the_spine_marks_the_place_one_is_in() -> None:
    page = html.fromstring(render("_layout.html", **make_context()))
    assert [link.text_content().strip() for link in find(page, "a", aria_current="page")] == ["Jobs"]


def test_a_page_needs_neither_a_book_nor_a_person() -> None:
    page = html.fromstring(render("_layout.html", **make_context(book=None, person=None)))
    assert find(page, "main", id="main")
    assert not find(page, class_="who")


def test_a_demo_book_is_marked_on_every_kind_of_page() -> None:
    demo = SimpleNamespace(shop_name="Quarry Lane", is_demo=True)
    for name in ("_layout.html", "_bare.html", *ERROR_PAGES):
        assert find(html.fromstring(render(name, **make_context(book=demo))), class_="demo"), name
    assert not find(html.fromstring(render("_layout.html", **make_context())), class_="demo")


def test_what_an_act_answered_is_read_out_politely_and_lets_drafts_go() -> None:
    environment = make_environment()
    said = [("message", "Kept: job 1042."), ("accepted", "a1"), ("accepted", "b2")]
    environment.globals["get_flashed_messages"] = lambda with_categories: said
    page = html.fromstring(environment.get_template("_layout.html").render(**make_context()))
    (status,) = find(page, role="status")
    assert "Kept: job 1042." in status.text_content()
    assert "a1" not in status.text_content()
    assert status.attrib["data-accepted"] == "a1 b2"


def test_a_refusal_that_is_flashed_lets_no_draft_go() -> None:
    environment = make_environment()
    environment.globals["get_flashed_messages"] = lambda with_categories: [("late", "The month is closed.")]
    page = html.fromstring(environment.get_template("_layout.html").render(**make_context()))
    assert "data-accepted" not in find(page, role="status")[0].attrib


@pytest.mark.parametrize("name", ERROR_PAGES)
def test_an_error_page_stands_with_the_spine_and_without_anything(name: str) -> None:
    for context in ({}, make_context()):
        page = html.fromstring(render(name, **context))
        assert len(find(page, "h1")) == 1
        assert find(page, "a", href=True)


def test_a_clash_shows_what_was_typed_and_a_fault_its_number() -> None:
    clash = render("errors/409.html", **make_context(typed=[("Note", "keys in the <safe>")]))
    assert "keys in the &lt;safe&gt;" in clash
    assert "r-81f2" in render("errors/500.html", request_id="r-81f2")
