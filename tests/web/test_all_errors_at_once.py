"""Every form with several bad fields at once: each has its own sentence, and everything that was typed stays."""

import re
from collections.abc import Iterator

from flask import Flask
from lxml import html

from tests.clients import ShopClient, refused_fields
from tests.makers import states

BAD = "about ten"
TEXT = {"text", "search", "tel", "email", "number", "date", "time", "month", ""}
SKIPPED = ("shop.own_pin", "shop.password", "shop.sign_in", "shop.devices", "shop.person", "shop.new_person")
"""Forms that take secrets: what is typed there is never shown again, and some end the walk."""
ASKED_OF_THE_BOOK = {"who"}
"""Whether somebody has that name already is asked once the form can be read; what was typed stays all the same."""


def addresses(app: Flask) -> Iterator[str]:
    """Each page that takes a form, of the first thing of its kind."""
    for rule in app.url_map.iter_rules():
        if {"GET", "POST"} <= (rule.methods or set()) and not rule.endpoint.startswith(SKIPPED):
            path = re.sub(r"<code>", "clear_medium", re.sub(r"<int:\w+>", "1", rule.rule))
            if "<" not in path:
                yield path


def main_form(page: html.HtmlElement) -> html.FormElement | None:
    """The form of the page with the most fields to type in, if it has two."""
    forms = [form for form in page.forms if form.method == "POST" and len(typed_names(form)) > 1]
    return max(forms, key=lambda form: len(typed_names(form)), default=None)


def typed_names(form: html.FormElement) -> list[str]:
    return [each.get("name") for each in form.iter("input") if each.get("name") and each.get("type", "text") in TEXT]


def test_each_bad_field_has_its_own_sentence_and_keeps_what_was_typed(app: Flask, client: ShopClient) -> None:
    states.make_in(app, states.agreed)
    wrong, many = [], 0
    for url in addresses(app):
        answer = client.get(url, follow_redirects=True)
        form = main_form(html.fromstring(answer.text)) if answer.status_code == 200 else None
        if form is None:
            continue
        target, names = form.action or url, typed_names(form)
        kept = dict(form.form_values()) | {"csrf_token": "token"}
        alone = {name for name in names if name in refused(client, target, kept | {name: BAD})}
        if len(alone) > 1:
            many += 1
            together = client.http.post(target, data=kept | dict.fromkeys(alone, BAD))
            wrong += judge(url, html.fromstring(together.text), alone)
    assert many > 5
    assert wrong == [], "\n".join(wrong)


def refused(client: ShopClient, url: str, data: dict[str, str]) -> list[str]:
    answer = client.http.post(url, data=data)
    return refused_fields(answer.text) if answer.status_code == 422 else []


def judge(url: str, page: html.HtmlElement, bad: set[str]) -> list[str]:
    """The bad fields that the page says nothing of, or of which it lost what was typed."""
    typed = [each for each in page.iter("input") if each.get("name") in bad and each.get("type", "text") in TEXT]
    shown = {each.get("name"): each for each in typed}
    known = bad - ASKED_OF_THE_BOOK
    silent = [name for name in known if name not in shown or not sentence_of(page, shown[name])]
    lost = [name for name in bad if name not in shown or shown[name].value != BAD]
    return [*(f"{url}: {each} has no sentence" for each in silent), *(f"{url}: {each} is lost" for each in lost)]


def sentence_of(page: html.HtmlElement, field: html.InputElement) -> str:
    """What stands beside a field that is marked as wrong."""
    if field.get("aria-invalid") != "true":
        return ""
    described = (field.get("aria-describedby") or field.get("aria-errormessage") or "").split()
    return " ".join(page.get_element_by_id(key).text_content() for key in described).strip()
