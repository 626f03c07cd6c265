"""The checker of markup finds what it is for, and the pages outside the frame, refused forms and errors pass it."""

import pytest
from flask import Flask

from shopbook.outside.passwords import hash_pin
from tests.clients import ShopClient
from tests.markup import faults_of
from tests.web.shop.test_patience import give

WHOLE = "<!doctype html><html lang=en><title>A page</title><body>{}</body></html>"


@pytest.mark.parametrize(
    ("inside", "fault"),
    [
        ("<p><form></form></p>", "unexpected-end-tag"),
        ("<div></span></div>", "unexpected-end-tag"),
        ("<i id=a></i><i id=a></i>", 'the id "a" stands 2 times'),
        ("<button formnovalidate=True>x</button>", 'formnovalidate="True"'),
        ("<label for=gone>x</label>", 'for names "gone"'),
        ("<input aria-describedby='a gone' id=a>", 'aria-describedby names "gone"'),
        ("<table role=table><tr><td>1</table>", 'role="table"'),
        ("<table><tr role=row><td role=cell>1</table>", 'role="cell"'),
        ("<time>8:03–8:06 am</time>", "no time that a machine reads"),
        ("<ul><div>x</div></ul>", "<ul>: <div> in it"),
        ("<dl><p>x</p></dl>", "<dl>: <p> in it"),
        ("<span><div>x</div></span>", "<span>: <div> in it"),
        ("<a href=/x><span><button>x</button></span></a>", "<a>: <button> in something that is pressed itself"),
        ("<img src=/x>", "no alt"),
        ("<p style='color:red'>x</p>", "style is not for a page"),
        ("<p onclick='x()'>x</p>", "onclick is not for a page"),
    ],
)
def test_what_a_strict_reader_refuses_is_found(inside: str, fault: str) -> None:
    found = faults_of(WHOLE.format(inside))
    assert [each for each in found if fault in each], found


@pytest.mark.parametrize(
    "inside",
    [
        "<ul><li><p>x</p></li></ul><dl><div><dt>a</dt><dd><p>b</p></dd></div></dl>",
        "<a href=/x><div>x</div></a><fieldset><legend><h2>x</h2></legend></fieldset>",
        "<table><thead><tr><th scope=col>a</tr></thead><tbody><tr><td>1</tr></tbody></table>",
        "<label for=a>x</label><input id=a required disabled=''><time>2026-11-30</time><time datetime=08:03>8</time>",
        "<svg role=img aria-label=x><g><title>x</title><path d='M0 0'/></g></svg>",
    ],
)
def test_what_is_right_is_let_through(inside: str) -> None:
    assert faults_of(WHOLE.format(inside)) == []


def test_the_pages_of_the_door_and_of_errors_pass(app: Flask, client: ShopClient) -> None:
    give(app, "Dana", pin_hash=hash_pin("0000", app.config["SECRET_KEY"]))
    pages = [client.get("/nowhere"), client.press("/people/new", name=""), client.press("/devices", name="Phone")]
    with client.http.session_transaction() as kept:
        kept["csrf"] = "token"
    dana = 3
    pages += [client.get("/who"), client.get(f"/who/{dana}"), client.press(f"/who/{dana}", pin="9")]
    pages += [client.press(f"/who/{dana}", pin="0000"), client.get("/sign-in?desk=1"), client.get("/start")]
    pages += [client.press("/sign-in", name="Noor", password="wrong"), client.get("/customers/999")]
    found = {answer.request.full_path: faults_of(answer.text) for answer in pages if answer.status_code != 303}
    assert len(found) > 6
    assert {path: faults for path, faults in found.items() if faults} == {}
