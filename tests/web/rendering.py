"""Templates rendered without the app, and elements found in what comes out."""

from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import jinja2
from lxml import html
from markupsafe import Markup

from shopbook.trade.car import outline as car_outline
from shopbook.trade.car.damage import COAT_WORDS
from shopbook.trade.countries import known_country

ROOT = Path(__file__).parents[2]
TEMPLATES = ROOT / "templates"
STATIC = ROOT / "shopbook" / "web" / "static"


def make_environment() -> jinja2.Environment:
    """A bare environment that fails on any variable that is not given."""
    loader = jinja2.FileSystemLoader(TEMPLATES)
    environment = jinja2.Environment(loader=loader, autoescape=True, undefined=jinja2.StrictUndefined)
    environment.globals["car_outline"] = car_outline
    environment.globals["coat_names"] = COAT_WORDS
    environment.globals["word"] = known_country("us").word
    environment.filters |= {"said": known_country("us").say, "measured": str}
    environment.globals["url_for"] = lambda endpoint, filename="": f"/{endpoint}/{filename}"
    return environment


def make_macro(file: str, name: str) -> Callable[..., Markup]:
    return getattr(make_environment().get_template(f"macros/{file}.html").module, name)  # type: ignore[no-any-return]


def parse(text: str) -> html.HtmlElement:
    return html.fromstring(f"<div>{text}</div>")


def find(page: html.HtmlElement, tag: str = "*", **wanted: str | bool) -> list[html.HtmlElement]:
    """Elements in order of the page; `class_="x"` is one of its classes, `True` means that the attribute is there."""
    asked = []
    for name, value in wanted.items():
        attribute = "@" + name.rstrip("_").replace("_", "-")
        if name == "class_":
            asked.append(f"[contains(concat(' ', {attribute}, ' '), ' {value} ')]")
        else:
            asked.append(f"[{attribute}]" if value is True else f"[{attribute}='{value}']")
    return list(page.xpath(f".//{tag}{''.join(asked)}"))


def seen_rows(page: html.HtmlElement) -> list[html.HtmlElement]:
    """Rows of lists that stand open when the page does: none that a fold holds."""
    return list(page.xpath("//ul[contains(concat(' ', @class, ' '), ' rows ')]/li[not(ancestor::details)]"))


def render(name: str, **context: Any) -> str:
    return make_environment().get_template(name).render(**context)


def make_context(**changes: Any) -> dict[str, Any]:
    places = [
        SimpleNamespace(label=w, url=f"/{w.lower()}", is_here=w == "Jobs", lies_below=False)
        for w in ("Today", "Jobs", "Floor")
    ]
    given = {
        "book": SimpleNamespace(shop_name="Quarry Lane", is_demo=False),
        "person": SimpleNamespace(name="Noor", roles=["desk"]),
        "places": places,
        "day_words": "Thursday 5 November 2026",
        "find_url": "/find",
    }
    return given | changes
