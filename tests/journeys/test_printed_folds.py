"""The rest of a list is folded on the screen and printed whole."""

import pytest
from playwright.sync_api import Browser, expect

from tests.web.rendering import STATIC

pytestmark = pytest.mark.browser

PAGE = """<!doctype html><title>Jobs</title>
<details class="rest"><summary>2 more jobs</summary><p id="row">62</p></details>
<details><summary>More</summary><p id="other">Remove</p></details>"""


def test_the_rest_of_a_list_is_printed_whole_and_every_other_fold_is_not(browser: Browser) -> None:
    page = browser.new_page()
    page.set_content(PAGE)
    page.add_style_tag(content=(STATIC / "look.css").read_text(encoding="utf-8"))
    row, other = page.locator("#row"), page.locator("#other")
    expect(row).to_be_hidden()
    page.emulate_media(media="print")
    expect(row).to_be_visible()
    assert row.bounding_box()
    expect(other).to_be_hidden()
    page.close()


def test_a_browser_that_cannot_open_it_by_its_stylesheet_opens_it_while_it_prints(browser: Browser) -> None:
    page = browser.new_page()
    page.set_content(PAGE)
    page.add_script_tag(content=(STATIC / "fold.js").read_text(encoding="utf-8"))  # no module, which is run later
    opened = "() => [...document.querySelectorAll('details')].map(each => each.open)"
    page.evaluate("() => dispatchEvent(new Event('beforeprint'))")
    assert page.evaluate(opened) == [True, False]
    page.evaluate("() => dispatchEvent(new Event('afterprint'))")
    assert page.evaluate(opened) == [False, False]
    page.close()
