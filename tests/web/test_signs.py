"""Claims about the pictures: each says in words what it shows, and draws nothing outside its box."""

import itertools
from types import SimpleNamespace
from typing import Any

import pytest
from lxml import html

from shopbook.trade.countries import known_country
from tests.web.rendering import find, make_macro, parse

DRAWN = [
    "left_front_wing",
    "left_front_door",
    "left_rear_door",
    "left_quarter",
    "left_sill",
    "right_front_wing",
    "right_front_door",
    "right_rear_door",
    "right_quarter",
    "right_sill",
    "front_bumper",
    "bonnet",
    "roof",
    "boot_lid",
    "rear_bumper",
]
PANELS = {
    code: code.replace("_", " ") for code in [*DRAWN, "tailgate", "left_mirror", "right_mirror", "grille", "other"]
}
COUNTRY = SimpleNamespace(panels=PANELS, sides=known_country("us").sides)
LINKS = {code: f"/kerb?panel={code}" for code in PANELS}


def make_coats(**changes: Any) -> SimpleNamespace:
    given = {"on": ["metal", "filler"], "waiting": "base", "due": ["clear"], "hex": "#2f5f9b", "notes": {}}
    return SimpleNamespace(**(given | changes))


def draw(name: str, *given: Any, **named: Any) -> html.HtmlElement:
    return parse(make_macro("signs", name)(*given, **named))


SIGNS = {
    "coats": (make_coats(),),
    "bar": (5.3, 7.9, "5.3 of 7.9 hours"),
    "window": (9.93, None, 9.67, "Opens 9:56"),
    "day_bar": ([(8, 9, "block", "1042")], "1 hour on cars"),
    "outline": (COUNTRY, ["roof"]),
    "clock": ("2026-11-05T09:16Z", "2026-11-05T09:40Z", "0:24"),
}


@pytest.mark.parametrize("name", SIGNS)
def test_every_sign_says_in_words_what_it_shows(name: str) -> None:
    (sign,) = find(draw(name, *SIGNS[name]), aria_label=True)
    assert len(sign.get("aria-label", "").split()) >= 2


def test_coats_are_told_bottom_to_top_with_what_waits_and_what_is_to_come() -> None:
    (sign,) = find(draw("coats", make_coats(on=["old", "primer"])), "svg")
    assert sign.get("aria-label") == "Coats on the panel: old paint, primer; base drying; to come: clear coat"


def test_coats_are_drawn_bottom_to_top_without_touching_each_other() -> None:
    for big in (False, True):
        boxes = find(draw("coats", make_coats(), big), "rect")
        tops = [float(box.get("y", "")) for box in boxes]
        assert len(boxes) == 4
        assert tops == sorted(tops, reverse=True)
        assert tops[-1] >= 0
        for lower, upper in itertools.pairwise(boxes):
            assert float(upper.get("y", "")) + float(upper.get("height", "")) < float(lower.get("y", ""))


def test_only_the_base_coat_takes_the_colour_of_the_car() -> None:
    page = draw("coats", make_coats(on=["metal", "primer", "base"], waiting="clear", due=[]))
    assert [box.get("class") for box in find(page, "rect", fill="#2f5f9b")] == ["on base"]


def test_a_bare_panel_with_nothing_known_still_says_so() -> None:
    page = draw("coats", make_coats(on=[], waiting=None, due=[]))
    assert find(page, "svg")[0].get("aria-label") == "Coats on the panel: nothing"


def test_hours_past_the_plan_are_drawn_apart_and_end_at_the_edge() -> None:
    (past,) = find(draw("bar", 30, 10, "30 of 10 hours"), class_="past")
    assert float(past.get("x", "")) + float(past.get("width", "")) == 100
    assert not find(draw("bar", 10, 10, "10 of 10 hours"), class_="past")


@pytest.mark.parametrize(("quarters", "cans"), [(0, 1), (3, 1), (4, 1), (5, 2), (20, 5), (99, 5), (-2, 1)])
def test_packs_are_drawn_as_cans_and_never_more_than_five(quarters: int, cans: int) -> None:
    assert len(find(draw("cans", quarters), class_="can")) == cans


def test_a_wait_outside_the_day_stays_inside_its_strip() -> None:
    for opens, shuts, now in [(3, None, 5), (19, 30, 23), (8, 9, 12), (-5, 40, 7)]:
        page = draw("window", opens, shuts, now, "a wait")
        for box in find(page, "rect", class_="open"):
            assert float(box.get("x", "")) >= 0
            assert float(box.get("x", "")) + float(box.get("width", "")) <= 220
    assert not find(draw("window", 19, 30, 9, "opens after closing"), "rect", class_="open")


def test_every_panel_of_the_outline_is_a_link_with_its_name() -> None:
    links = find(draw("outline", COUNTRY, [], LINKS), "a")
    assert {link.get("data-panel") for link in links} == set(DRAWN)
    assert all(link.get("aria-label") == PANELS[link.get("data-panel", "")] for link in links)


def test_chosen_panels_are_numbered_in_the_order_they_were_chosen() -> None:
    page = draw("outline", COUNTRY, ["roof", "left_mirror", "bonnet"], LINKS)
    (sign,) = find(page, "svg")
    assert sign.get("aria-label", "").startswith("Car from above, front to the left, driver side at the bottom; ")
    assert sign.get("aria-label", "").endswith("marked: 1 roof, 2 left mirror, 3 bonnet")
    said = [text.text for text in find(page, "text", class_="said-side")]
    assert said == ["passenger side · right", "driver side · left", "front", "rear"]
    numbers = {link.get("data-panel"): find(link, "text")[0].text for link in find(page, "a") if find(link, "text")}
    assert numbers == {"roof": "1", "bonnet": "3"}


def test_every_panel_is_either_drawn_or_in_the_list_beside() -> None:
    for hurt, tailgate in [([], False), ([], True), (["tailgate"], False), (["boot_lid", "tailgate"], False)]:
        drawn = [a.get("data-panel") for a in find(draw("outline", COUNTRY, hurt, LINKS, tailgate=tailgate), "a")]
        listed = [a.get("data-panel") for a in find(draw("not_drawn", PANELS, hurt, LINKS, tailgate=tailgate), "a")]
        assert sorted(drawn + listed) == sorted(PANELS)
