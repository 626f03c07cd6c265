"""Each country speaks its own English: every page and paper of the demo of two countries is read.

A word that is another country's stands nowhere. A word that means two things ("check" is also a verb) may stand where
it means the other one; the one that differs by country was looked up by its key, which this test marks: «check».
"""

import re
from collections.abc import Iterator
from functools import partial
from io import BytesIO

import pytest
from flask import Flask
from lxml import html
from pypdf import PdfReader

import seed_demo
from shopbook.app import create_app
from shopbook.commands.demo.folder import ready_demo
from shopbook.trade import countries, letters
from shopbook.trade.countries import Country
from tests.clients import ShopClient
from tests.journeys.crawling import crawl
from tests.journeys.demos import NOW, last_weeks
from tests.shipped import forget

pytestmark = pytest.mark.demo

WHO = "Noor"
IN_BRITAIN = (
    "colour grey centre cheque bonnet windscreen tyre aluminium postcode saloon metre litre licence lacquer thinners "
    "nearside offside kerb neighbour organis recognis programme catalogue moulding favour honour mould "
    r"sill boot\b courtesy (?<!repair\s)registration excess engineer recovery takings"
)
IN_AMERICA = (
    r"color gray center hood fender trunk windshield tire aluminum zip sedan meter liter license\b labor curb neighbor "
    r"organiz recogniz catalog\b molding deductible adjuster loaner canceled rocker reducer comeback glazing"
)
STEMS = {"us": IN_BRITAIN.split(), "gb": IN_AMERICA.split()}
"""How words begin that stand nowhere in the other country's book; common usage, from memory."""
SAID_APART = {"clear", "wing", "lot", "lots", "post", "posts", "flat", "flatted", "check", "checks"}
"""Words of two meanings; the country's is looked up, and marked here."""
OTHER_SENSE = (
    r"[Cc]heck (in|the|that|it|them|and|on|with|what|before|your|for|first|by|a|its|this|all|whether|every|each)\b",
    r"[Cc]heck(ed|ing|list|-in)\b",
    r"(final check|Check hoses)\b",
    r"[Cc]lear (the|it|of|all|this|a|away)\b",
    r"until the air is clear\b",
    r"finger\s+Clear\b",
    r"sand(ed)?( nibs and runs)? flat\b",
    r"area is flat\b",
)
ATTRIBUTES = ("//@placeholder", "//@title", "//@aria-label", "//@alt", "//input[@type='submit']/@value")
"""What is said outside the text; the value of another field is a code."""


def marked(found: str) -> str:
    """The word as looked up, between signs that no page of ours has."""
    return f"«{found}»"


@pytest.fixture(scope="module", params=["us", "gb"])
def spoken(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Flask]]:
    """The demo of a country in which whatever is looked up is marked, on screen, in storage and on paper."""
    country, change = str(request.param), pytest.MonkeyPatch()
    find, panel, on_floor = letters.find_word, Country.panel, Country.floor_panel
    both_sides = Country.both_sides
    for place in (letters, countries):
        change.setattr(place, "find_word", lambda words, key: marked(find(words, key)))
    change.setattr(Country, "panel", lambda self, code: marked(panel(self, code)))
    change.setattr(Country, "floor_panel", lambda self, code: marked(on_floor(self, code)))
    change.setattr(Country, "both_sides", lambda self, code: marked(both_sides(self, code)))
    forget()
    build = partial(seed_demo.build, story=last_weeks(), country=country)
    config = ready_demo(tmp_path_factory.mktemp(country) / "demo", NOW, build)
    yield country, create_app(config, TESTING=True, CLOCK=lambda: NOW)
    change.undo()
    forget()


def texts_of(app: Flask) -> Iterator[tuple[str, str]]:
    """Address and words of every page and paper that a link leads to."""
    client, papers = ShopClient(app).signed_in_as(WHO), dict[str, str]()
    for urls in crawl(app, WHO).values():
        for url in urls:
            answer = client.get(url, follow_redirects=True)
            page = html.fromstring(answer.text)
            for gone in page.xpath("//script|//style"):
                gone.drop_tree()
            yield url, " ".join(page.xpath("//text()"))
            yield url, " | ".join(str(one) for place in ATTRIBUTES for one in page.xpath(place))
            papers |= {re.sub(r"\d+", "N", each): each for each in page.xpath("//a/@href") if "pdf" in each}
    for url in papers.values():
        pages = PdfReader(BytesIO(client.get(url).data)).pages
        yield url, "\n".join(page.extract_text() for page in pages)


def test_no_page_or_paper_says_another_countrys_word(spoken: tuple[str, Flask]) -> None:
    country, app = spoken
    wrong, papers = set[str](), 0
    for url, text in texts_of(app):
        papers += "pdf" in url
        plain = text.replace("«", "").replace("»", "")
        wrong |= {f"{stem}: {around(plain, stem)} ({url})" for stem in STEMS[country] if around(plain, stem)}
        wrong |= {f"{key}, not looked up ({url})" for key in re.findall(r"\{[A-Za-z]\w*\}", text)}
        literal = re.sub(r"«[^»]*»", "…", " ".join(text.split()))
        for sense in OTHER_SENSE:
            literal = re.sub(sense, "…", literal)
        said = {word for word in re.findall(r"[A-Za-z]+", literal.lower()) if word in SAID_APART}
        wrong |= {f"{word}, typed: {around(literal, word)} ({url})" for word in said}
    assert papers >= 4, "quote, invoice, receipt, job card and more were read"
    assert sorted(wrong) == [], "\n".join(sorted(wrong))


def around(text: str, stem: str) -> str:
    """The words about the first place where a stem stands."""
    found = re.search(rf".{{0,40}}\b{stem}.{{0,30}}", " ".join(text.split()), re.IGNORECASE)
    return found[0] if found else ""
