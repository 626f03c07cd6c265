"""A book of any version before is drafted from by this one: its edits of every kind are read, and plans hold."""

from datetime import date
from pathlib import Path

import pytest

from shopbook.trade.catalogue import releases
from shopbook.trade.catalogue.entries import Catalogue, EntryKind
from shopbook.trade.catalogue.reading import TABLES, EditedRow, overlay, own_catalogue
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.shapes import (
    Car,
    Conditions,
    DamageKind,
    Finish,
    PaintChoice,
    Reach,
    Substrate,
)
from tests.makers.plans import make_damage

DAY = date(2026, 1, 1)
NAMES = sorted(path.stem for path in (Path(releases.__file__).parent / "releases").glob("*.json"))


def edited_as(name: str, kind: EntryKind | None = None) -> Catalogue:
    """The shipped catalogue under a book's edits: every row of an earlier release, or those of one kind."""
    rows = releases.find_release(name) or {}
    edits = [
        EditedRow(of, code, DAY, body)
        for of, bodies in rows.items()
        for code, body in bodies.items()
        if body is not None and kind in {None, EntryKind(of)}
    ]
    return overlay(own_catalogue(), edits, DAY)


@pytest.mark.parametrize("kind", [kind for kind in EntryKind if kind is not EntryKind.CAUTION])
@pytest.mark.parametrize("name", NAMES)
def test_edits_of_each_kind_and_release_are_read(name: str, kind: EntryKind) -> None:
    rows = (releases.find_release(name) or {}).get(kind.value, {})
    assert set(rows) <= set(getattr(edited_as(name, kind), TABLES[kind]))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("kind", DamageKind)
def test_every_damage_is_drafted_by_the_figures_of_before(name: str, kind: DamageKind) -> None:
    panel = "front_bumper" if kind is DamageKind.CRACK else "left_quarter"
    substrate = Substrate.PLASTIC if kind is DamageKind.CRACK else Substrate.ALUMINIUM
    damage = make_damage(
        1, panel, kind, substrate=substrate, paint=PaintChoice.BLEND, dent_count=9, dent_class_mm=25, chip_count=60,
        reach=Reach.PRIMER, film_um=500,
    )  # fmt: skip
    plan = draft_plan(edited_as(name), Car(Finish.THREE_STAGE, hue="yellow"), [damage], Conditions())
    assert "base_clear" in {stage.code for stage in plan.stages}
    assert all(stage.reasons for stage in plan.stages)


def test_the_first_release_still_has_the_factor_that_is_retired_now() -> None:
    assert edited_as("2026.3", EntryKind.FACTOR).factors["let_down"].reason
    assert "let_down" not in own_catalogue().factors
