"""The catalogue: it reads, hangs together, goes into plain rows and back, and takes the shop's edits from their day."""

import json
from datetime import date

import pytest

from shopbook.trade.catalogue.entries import Catalogue, Number, StageKind
from shopbook.trade.catalogue.reading import (
    TABLES,
    EditedRow,
    entry_body,
    overlay,
    own_catalogue,
    read_catalogue,
    read_entry,
)
from shopbook.trade.cautions import Caution
from shopbook.trade.errors import RuleBroken
from shopbook.trade.trouble.advice import TROUBLES

SIDED = ("front_wing", "front_door", "rear_door", "quarter", "sill", "mirror")
SINGLE = ("front_bumper", "bonnet", "roof", "boot_lid", "tailgate", "rear_bumper", "grille", "other")
PANELS = [*(f"{side}_{name}" for side in ("left", "right") for name in SIDED), *SINGLE]


def every_entry(catalogue: Catalogue):
    return [(kind, entry) for kind, table in TABLES.items() for entry in getattr(catalogue, table).values()]


def test_the_twenty_panels_are_there_and_each_has_a_price():
    assert sorted(own_catalogue().panels) == sorted(PANELS)
    assert set(own_catalogue().prices) == set(PANELS)


def test_every_entry_says_how_sure_it_is_and_where_it_comes_from():
    for _, entry in every_entry(own_catalogue()):
        assert 0 < entry.sure <= 100
        assert entry.source


def test_every_entry_goes_through_json_and_comes_back_the_same():
    for kind, entry in every_entry(own_catalogue()):
        assert read_entry(kind, entry.code, json.loads(json.dumps(entry_body(entry)))) == entry


def test_every_caution_a_stage_names_is_one_that_has_a_text():
    for stage in own_catalogue().stages.values():
        assert set(stage.cautions) <= set(Caution)


def test_every_stage_that_trouble_adds_is_in_the_catalogue():
    named = {code for trouble in TROUBLES.values() for codes in trouble.stages.values() for code in codes}
    assert named <= set(own_catalogue().stages)


def test_no_material_carries_a_guessed_price():
    assert all(material.price_minor is None for material in own_catalogue().materials.values())


def test_an_edit_holds_from_its_day_and_not_before():
    stage = own_catalogue().stages["colour"]
    row = EditedRow("stage", "colour", date(2026, 5, 1), entry_body(stage) | {"fixed_minutes": 30})
    assert overlay(own_catalogue(), [row], date(2026, 4, 30)).stages["colour"].fixed_minutes == stage.fixed_minutes
    assert overlay(own_catalogue(), [row], date(2026, 5, 1)).stages["colour"].fixed_minutes == 30


def test_of_two_edits_the_later_day_wins_whatever_their_order():
    body = entry_body(own_catalogue().numbers["gun_clean_ml"])
    rows = [
        EditedRow("number", "gun_clean_ml", date(2026, 6, 1), body | {"value": 150}),
        EditedRow("number", "gun_clean_ml", date(2026, 5, 1), body | {"value": 100}),
    ]
    assert overlay(own_catalogue(), rows, date(2026, 7, 1)).numbers["gun_clean_ml"].value == 150


def test_taking_out_an_entry_that_another_names_is_refused_by_name():
    row = EditedRow("wait", "filler_sand", date(2026, 5, 1), None)
    with pytest.raises(RuleBroken, match="fill names the wait 'filler_sand'"):
        overlay(own_catalogue(), [row], date(2026, 5, 1))


def test_the_shipped_catalogue_is_left_as_it_was_by_an_overlay():
    before = own_catalogue().numbers["gun_clean_ml"]
    row = EditedRow("number", "gun_clean_ml", date(2026, 5, 1), entry_body(before) | {"value": 1})
    overlay(own_catalogue(), [row], date(2026, 5, 1))
    assert own_catalogue().numbers["gun_clean_ml"] == before


@pytest.mark.parametrize(
    ("kind", "body", "sentence"),
    [
        ("number", {"value": "many", "unit": "ml", "meaning": "x"}, "value must be a number"),
        ("number", {"value": float("nan"), "unit": "ml", "meaning": "x"}, "value must be a number"),
        ("number", {"value": 1, "unit": "ml"}, "needs its meaning"),
        ("number", {"value": 1, "unit": "ml", "meaning": "x", "colour": 1}, "no field called 'colour'"),
        ("number", {"value": 1, "unit": "ml", "meaning": "x" * 501}, "at most 500"),
        ("number", {"value": 1, "unit": "ml", "meaning": "x", "sure": 101}, "between 0 and 100"),
        ("stage", {"order": 1, "name": "x", "skill": "magic"}, "must be one of body, paint, detail"),
        ("stage", {"order": 1.5, "name": "x", "skill": "body"}, "order must be a whole number"),
        ("stage", {"order": 1, "name": "x", "skill": "body", "is_on": 1}, "is_on must be true or false"),
        ("stage", {"order": 1, "name": "x", "skill": "body", "steps": "wash"}, "steps must be a list"),
        ("stage", {"order": 1, "name": "x", "skill": "body", "uses": {"wipes": -1}}, "zero or more everywhere"),
        ("stage", {"order": 1, "name": "x", "skill": "body", "fixed_minutes": -5}, "between 0 and 10000"),
        ("small_dent", {"up_to_mm": 10, "bands": [[1, 2, 3]]}, "2 values"),
        ("wheel", {}, "no kind of entry called 'wheel'"),
    ],
)
def test_a_wrong_entry_is_a_sentence_that_names_the_field(kind, body, sentence):
    with pytest.raises(RuleBroken, match=sentence):
        read_entry(kind, "some_code", body)


@pytest.mark.parametrize(
    ("kind", "field", "least", "most"),
    [
        ("panel", "area_m2", 0.01, 10),
        ("panel", "skin_um", 100, 20_000),
        ("panel", "trim_off_minutes", 0, 1_000),
        ("panel", "fit_minutes", 0, 10_000),
        ("panel", "ding_permille", 100, 10_000),
        ("stage", "order", 1, 999),
        ("stage", "minutes_per_m2", 0, 10_000),
        ("stage", "next_panel_permille", 0, 1_000),
        ("stage", "gun_cleans", 0, 10),
        ("wait", "minutes", 0, 100_000),
        ("wait", "not_after_minutes", 1, 1_000_000),
        ("wait", "lamp_minutes", 0, 100_000),
        ("material", "pack_thousandths", 1, 10**12),
        ("material", "density_mg_ml", 300, 5_000),
        ("material", "solids_permille", 1, 1_000),
        ("material", "shelf_days", 1, 10_000),
        ("material", "opened_days", 1, 10_000),
        ("material", "order_when_quarters", 0, 400),
        ("mix", "dry_um", 1, 1_000),
        ("mix", "coats", 1, 6),
        ("mix", "coat_minutes", 0, 600),
        ("mix", "pot_life_minutes", 1, 100_000),
        ("mix", "loss_ml", 0, 1_000),
        ("mix", "step_ml", 1, 100),
        ("small_dent", "up_to_mm", 1, 1_000),
        ("factor", "permille", 100, 10_000),
        ("factor", "of_permille", 0, 1_000),
    ],
)
def test_a_figure_is_taken_from_its_least_to_its_most_and_no_further(kind, field, least, most):
    entry = next(entry for each, entry in every_entry(own_catalogue()) if each == kind)
    for bound in (least, most):
        assert getattr(read_entry(kind, entry.code, entry_body(entry) | {field: bound}), field) == bound
    step = 1 if isinstance(least, int) else 0.001
    for beyond in (least - step, most + 1):
        with pytest.raises(RuleBroken, match=f"between {least} and {most}"):
            read_entry(kind, entry.code, entry_body(entry) | {field: beyond})


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("version = ", "cannot be read"),
        ("[number.x]\nvalue = 1", "must name its version"),
        ("version = 'a'\n[wheels.x]\nvalue = 1", "no kind of entry called 'wheels'"),
        ("version = 'a'\n[mix.x]\nname = 'x'\nparts = {}\nsolids_permille = 1\ndry_um = 1\ncoats = 1\ncoat_minutes = 1",
         "at least one part above zero"),
        ("version = 'a'\n[mix.x]\nname = 'x'\nparts = {a = 1}\nsolids_permille = 1\ndry_um = 1\ncoats = 1\n"
         "coat_minutes = 1", "the material 'a'"),
        ("version = 'a'\n[mix.x]\nname = 'x'\nparts = {}\nsolids_permille = 1001\ndry_um = 1\ncoats = 1\n"
         "coat_minutes = 1", "between 1 and 1000"),
    ],
)  # fmt: skip
def test_a_wrong_catalogue_is_a_sentence(text, sentence):
    with pytest.raises(RuleBroken, match=sentence):
        read_catalogue(text)


def test_an_entry_is_read_as_its_own_kind():
    assert isinstance(read_entry("stage", "x", {"order": 1, "name": "x", "skill": "body"}), StageKind)
    assert isinstance(read_entry("number", "x", {"value": 1, "unit": "g", "meaning": "x"}), Number)
