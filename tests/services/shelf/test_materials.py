"""Materials, suppliers and pots come, change and go."""

import pytest
from sqlalchemy.orm import Session

from shopbook.queries.shelf.materials import list_materials, list_pots, materials_for_roles
from shopbook.services.act import Act
from shopbook.services.shelf.materials import (
    bring_back_material,
    change_material,
    change_supplier,
    clear_pot,
    keep_pot,
    retire_material,
)
from shopbook.trade.errors import Conflict, RuleBroken
from tests.makers.shelf import make_delivery, make_material, make_supplier


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": " "}, "name"),
        ({"unit": "L"}, "unit"),
        ({"way": "by ear"}, "way"),
        ({"pack_thousandths": 0}, "pack"),
        ({"pack_name": ""}, "pack_name"),
        ({"pack_price_minor": -1}, "pack_price"),
        ({"order_at_quarters": -1}, "order_at_quarters"),
    ],
)
def test_a_bad_figure_is_said_beside_its_field(session: Session, given: dict[str, object], field: str) -> None:
    with pytest.raises(RuleBroken) as refusal:
        make_material(session, **({"name": "Clear"} | given))  # type: ignore[arg-type]
    assert refusal.value.field == field


def test_two_materials_never_share_a_name(session: Session, act: Act) -> None:
    clear, other = make_material(session, "Clear"), make_material(session, "Clear, fast")
    with pytest.raises(RuleBroken, match="has that name"):
        make_material(session, "CLEAR")
    with pytest.raises(RuleBroken, match="has that name"):
        change_material(act, other.id, revision=1, name="clear ")
    assert clear.name == "Clear"


def test_the_unit_stays_once_something_has_moved(session: Session, act: Act) -> None:
    clear = make_material(session)
    change_material(act, clear.id, revision=1, unit="g")
    make_delivery(session, clear, 1)
    with pytest.raises(RuleBroken, match="moved in this unit"):
        change_material(act, clear.id, revision=clear.revision, unit="ml")


def test_a_stale_change_is_refused(session: Session, act: Act) -> None:
    clear, supplier = make_material(session), make_supplier(session)
    change_material(act, clear.id, revision=1, shelf_place="B")
    with pytest.raises(Conflict):
        change_material(act, clear.id, revision=1, shelf_place="C")
    change_supplier(act, supplier.id, revision=1, phone="555-0191")
    with pytest.raises(Conflict):
        change_supplier(act, supplier.id, revision=1, phone="555-0192")


def test_figures_of_the_data_sheet_are_added_to_what_is_known(session: Session, act: Act) -> None:
    clear = make_material(session, sheet={"density_mg_ml": 990})
    change_material(act, clear.id, revision=1, sheet={"voc_g_l": 420})
    assert clear.sheet == {"density_mg_ml": 990, "voc_g_l": 420}


def test_a_figure_of_the_data_sheet_that_is_emptied_is_not_known_any_more(session: Session, act: Act) -> None:
    clear = make_material(session, sheet={"density_mg_ml": 990, "lowest_tenths": 150, "voc_g_l": None})
    change_material(act, clear.id, revision=1, sheet={"density_mg_ml": None})
    assert clear.sheet == {"lowest_tenths": 150}


def test_a_material_with_stock_is_not_retired(session: Session, act: Act) -> None:
    clear, old = make_material(session), make_material(session, "Old clear")
    make_delivery(session, clear, 1)
    with pytest.raises(RuleBroken, match="some is left"):
        retire_material(act, clear.id)
    retire_material(act, old.id)
    assert [one.name for one in list_materials(session)] == [clear.name]
    bring_back_material(act, old.id)
    assert len(list_materials(session)) == 2


def test_what_stands_for_a_role_is_there_before_it_is_cheap(session: Session) -> None:
    dear = make_material(session, "Dear clear", pack_price_minor=9000)
    cheap = make_material(session, "Cheap clear", pack_price_minor=2000)
    unpriced = make_material(session, "Clear of unknown price", pack_price_minor=None)
    assert materials_for_roles(session, ["clear"]) == {"clear": cheap}
    make_delivery(session, dear, 1)
    assert materials_for_roles(session, ["clear"]) == {"clear": dear}
    make_delivery(session, unpriced, 1, 1)
    assert materials_for_roles(session, ["clear"]) == {"clear": unpriced}
    assert materials_for_roles(session, ["unheard of", ""]) == {}


def test_materials_are_found_by_name_and_shelf(session: Session) -> None:
    clear = make_material(session, shelf_place="shelf B")
    make_material(session, "Filler", role="filler")
    assert list_materials(session, "shelf b CLEAR") == [clear]
    assert list_materials(session, "nothing like it") == []


def test_a_pot_is_kept_at_no_value_and_cleared_once(session: Session, act: Act) -> None:
    pot = keep_pot(act, name="dark blue base", colour_code="H4", amount_thousandths=120_000)
    assert list_pots(session, "h4") == [pot]
    clear_pot(act, pot.id)
    clear_pot(act, pot.id)
    assert list_pots(session) == []
    with pytest.raises(RuleBroken, match="what is in the pot"):
        keep_pot(act, name=" ", amount_thousandths=1)


@pytest.mark.parametrize("place", [0, 1])
def test_no_supplier_takes_the_name_of_another_whoever_came_first(session: Session, act: Act, place: int) -> None:
    both = [make_supplier(session, "Northside Paint Supply"), make_supplier(session, "Harbour Abrasives")]
    with pytest.raises(RuleBroken, match="Another supplier"):
        change_supplier(act, both[place].id, revision=1, name=both[1 - place].name.upper())
