"""The form of a damage: what is asked of which kind and panel, depths as they were measured, and paint as usual."""

import re

import pytest

from tests.clients import ShopClient
from tests.web.jobs.test_pages import DAMAGE, book_in

CHIPS = DAMAGE | {"kind": "chip", "paint": ""}


@pytest.mark.parametrize(("count", "stage"), [("8", "Touch up the chips"), ("50", "Base and clear")])
def test_counted_chips_are_touched_up_or_painted_where_nobody_chose(client: ShopClient, count: str, stage: str) -> None:
    book_in(client)
    page = client.press_on("/jobs/1/damage/new", **CHIPS, chip_count=count)
    assert stage in page
    assert f"{count} stone chips" in page


def test_what_was_typed_for_another_kind_is_not_kept(client: ShopClient) -> None:
    book_in(client)
    page = client.press_on("/jobs/1/damage/new", **DAMAGE, chip_count="9", dent_count="12", clear_stop="pillar")
    assert "stone chips" not in page
    assert "12 small dents" not in page
    assert 'value="pillar" selected' not in client.text("/jobs/1/damage/1").replace(" selected value", " value")


@pytest.mark.parametrize("typed", ["45 µm", "0.045 mm", "1.8 mil", "0.0018 in"])
def test_a_depth_is_read_in_the_unit_it_was_measured_in(client: ShopClient, typed: str) -> None:
    book_in(client)
    scratch = DAMAGE | {"kind": "scratch", "depth": "shallow", "depth_um": typed}
    page = client.press_on("/jobs/1/damage/new", **scratch)
    # 45 or 46 µm: through the clear and not to the metal
    assert "Feather the paint edges" in page


@pytest.mark.parametrize("typed", ["850 µm", "0.85 mm", "33.5 mil"])
def test_a_reading_over_paint_alone_has_the_old_filler_stripped_first(client: ShopClient, typed: str) -> None:
    book_in(client)
    client.press_on("/jobs/1/reading", panel="bonnet", spot="", value=typed)
    page = client.press_on("/jobs/1/damage/new", **DAMAGE)
    assert "Strip the old repair" in page


def test_a_thick_reading_after_the_damage_says_that_the_plan_is_to_be_drafted_again(client: ShopClient) -> None:
    book_in(client)
    page = client.press_on("/jobs/1/damage/new", **DAMAGE)
    assert "Strip the old repair" not in page
    told = "Draft the plan again, so that it strips old filler"
    assert told not in client.press_on("/jobs/1/reading", panel="roof", spot="", value="850 µm")
    assert told not in client.press_on("/jobs/1/reading", panel="bonnet", spot="", value="300 µm")
    assert told in client.press_on("/jobs/1/reading", panel="bonnet", spot="", value="301 µm")
    assert "Strip the old repair" in client.press_on("/jobs/1/draft")


def test_a_panel_that_does_not_touch_is_refused_beside_its_field(client: ShopClient) -> None:
    book_in(client)
    answer = client.press("/jobs/1/damage/new", **(DAMAGE | {"paint": "blend", "blend_into": "rear_bumper"}))
    assert answer.status_code == 422
    assert "Blend only into panels that touch this one." in answer.text
    page = client.press_on("/jobs/1/damage/new", **(DAMAGE | {"paint": "blend", "blend_into": "left_front_wing"}))
    assert "Base and clear" in page


def test_each_field_says_what_it_is_shown_for(client: ShopClient) -> None:
    book_in(client)
    page = client.text("/jobs/1/damage/new")
    asked = re.findall(r'data-only="([^"]+)"', page)
    assert "kind: chip" in asked
    assert "kind: rust" in asked
    assert "panel: left_quarter right_quarter roof; paint: ! no_paint" in asked
    assert "only.js" in page


def test_a_melted_edge_of_clear_is_printed_on_the_estimate(client: ShopClient) -> None:
    book_in(client)
    page = client.press_on("/jobs/1/damage/new", **(DAMAGE | {"panel": "roof", "clear_stop": "pillar"}))
    assert "do not warrant" in page


def test_a_fold_too_deep_to_fill_is_compared_on_the_plan_page_by_itself(client: ShopClient) -> None:
    book_in(client)
    fold = DAMAGE | {"panel": "left_front_wing", "kind": "crease", "size": "L", "depth": "deep", "was_filled": "y"}
    client.press_on("/jobs/1/damage/new", **fold)
    page = client.text("/jobs/1/plan")
    (said,) = re.findall(r"<span>(Damage 1: about [\d.]+ in would be left to fill\. Compare first: [^<]+)</span>", page)
    assert said in client.text("/jobs/1")
    first, _, stages = page.partition("Check in, photos, wash")
    assert said in first
    assert 'href="/jobs/1/repair-or-replace"' in first
    assert "Compare first" not in stages
    assert client.http.get("/jobs/1/repair-or-replace").status_code == 200


def test_a_comparison_that_was_accepted_is_gone_from_the_plan_page(client: ShopClient) -> None:
    book_in(client)
    fold = DAMAGE | {"panel": "left_front_wing", "kind": "crease", "size": "L", "depth": "deep"}
    client.press_on("/jobs/1/damage/new", **fold)
    page = client.text("/jobs/1/plan")
    # Kept as it was found, in mm, and shown in the shop's inches.
    (kept,) = re.findall(r'name="sentence" value="(Damage 1: about [^"]+ Compare first: [^"]+)"', page)
    assert "Damage 1: about" in page.replace(kept, "")
    client.press_on("/jobs/1/accept", code="compare_first", sentence=kept)
    assert "Compare first" not in client.text("/jobs/1/plan")
