"""One answer to what the list says of a panel: the same whichever way the car came in, or the reason why the plan."""

from datetime import date
from typing import Any

import pytest

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.reading import EditedRow, entry_body, overlay, own_catalogue
from shopbook.trade.planning.kerb import KerbAnswer, kerb_damages, kerb_price
from shopbook.trade.planning.list_price import list_price
from shopbook.trade.planning.shapes import Crossing, DamageKind, DepthStep, PaintChoice, SizeStep
from tests.makers.plans import make_damage

CATALOGUE = own_catalogue()
HOUR = 7800
LABOUR = {("body", "any"): HOUR, ("paint", "any"): HOUR, ("paint", "insurer"): 7200, ("paint", "dealer"): HOUR}
DAY = date(2026, 1, 1)


def with_price(panel: str, **change: Any) -> Catalogue:
    """The catalogue with one panel's row as the shop set it."""
    body = entry_body(CATALOGUE.prices[panel]) | {"source": "the shop's own"} | change
    return overlay(CATALOGUE, [EditedRow("price", panel, DAY, body)], DAY)


@pytest.mark.parametrize("panel", sorted(CATALOGUE.prices))
@pytest.mark.parametrize("paint", list(PaintChoice))
def test_no_way_in_is_cheaper_than_another(panel: str, paint: PaintChoice) -> None:
    """What is tapped at the kerb, booked in as damage, and found later ask for the same figure."""
    for size in SizeStep:
        answer = KerbAnswer(panel, size, paint)
        told = list_price(CATALOGUE, kerb_damages([answer], CATALOGUE), HOUR, labour_minor=LABOUR)
        assert told.price == kerb_price(CATALOGUE, answer, HOUR)


def test_a_booked_door_costs_what_the_list_says() -> None:
    """10.3 h at 78.00 is 803.40."""
    told = list_price(CATALOGUE, [make_damage(panel="left_front_door")], HOUR)
    assert told.price is not None
    assert (told.price.price_minor, told.price.whose) == (80340, "our guess")
    assert told.price.reason.endswith("10.3 h at the door rate")


@pytest.mark.parametrize(
    "more", [{"depth": DepthStep.DEEP}, {"length_mm": 90}, {"crosses": frozenset({Crossing.LINE})}]
)
def test_what_a_tap_cannot_say_is_priced_by_the_plan(more: dict[str, Any]) -> None:
    """A deep dent, or one over a line, takes more hours than the list's figure bears."""
    told = list_price(CATALOGUE, [make_damage(panel="left_front_door", **more)], HOUR)
    assert (told.price, told.why) == (None, "A deep dent, or one across a line or edge, is priced by the plan.")


@pytest.mark.parametrize("kind", [kind for kind in DamageKind if kind.value not in {"dent", "scuff", "small_dents"}])
def test_a_kind_that_the_list_does_not_know_is_priced_by_the_plan(kind: DamageKind) -> None:
    told = list_price(CATALOGUE, [make_damage(kind=kind)], HOUR)
    assert told.price is None
    assert kind.value.replace("_", " ").replace("clear", "lacquer") in told.why


@pytest.mark.parametrize(
    ("count", "reason"), [(0, "Count the small dents"), (150, ""), (151, "goes up to 150 small dents")]
)
def test_a_count_that_the_list_does_not_know_is_priced_by_the_plan(count: int, reason: str) -> None:
    dents = make_damage(kind=DamageKind.SMALL_DENTS, dent_count=count, dent_class_mm=10, is_paint_sound=True)
    told = list_price(CATALOGUE, [dents], HOUR)
    assert (told.price is None) == bool(reason)
    assert reason in told.why


def test_two_damages_on_one_panel_are_priced_by_the_plan() -> None:
    told = list_price(CATALOGUE, [make_damage(1), make_damage(2)], HOUR)
    assert (told.price, "Two damages" in told.why) == (None, True)
    assert list_price(CATALOGUE, [], HOUR).price is None


def test_an_estimate_by_hours_and_a_payer_with_rates_of_its_own_are_priced_by_the_plan() -> None:
    door = [make_damage(panel="left_front_door")]
    assert "by hours" in list_price(CATALOGUE, door, HOUR, is_by_hours=True).why
    insurer = list_price(CATALOGUE, door, HOUR, payer_kind="insurer", labour_minor=LABOUR)
    assert (insurer.price, "rates of its own" in insurer.why) == (None, True)
    for payer in ("private", "dealer", "fleet"):
        assert list_price(CATALOGUE, door, HOUR, payer_kind=payer, labour_minor=LABOUR).price is not None


def test_without_an_hour_or_a_row_it_says_what_to_do() -> None:
    assert "Set your hourly rate" in list_price(CATALOGUE, [make_damage(panel="bonnet")], 0).why
    bare = Catalogue(**{name: getattr(CATALOGUE, name) for name in Catalogue.__slots__} | {"prices": {}})
    assert "no list price for this panel" in list_price(bare, [make_damage(panel="bonnet")], HOUR).why


def test_only_a_figure_that_the_shop_set_is_its_list() -> None:
    """A typed price is the shop's for its cell alone; hours changed in the standards are the shop's too."""
    typed = with_price("bonnet", set_minor={"M.paint": 64000})
    hours = with_price("bonnet", medium=[30, 110, 169])

    def whose(catalogue: Catalogue, size: SizeStep, paint: PaintChoice) -> str:
        return kerb_price(catalogue, KerbAnswer("bonnet", size, paint), HOUR).whose

    assert whose(typed, SizeStep.M, PaintChoice.PAINT) == "your list"
    assert whose(typed, SizeStep.L, PaintChoice.PAINT) == "our guess"
    assert [whose(hours, SizeStep.M, paint) for paint in PaintChoice] == ["your list", "your list", "our guess"]


def test_counted_chips_touched_in_have_a_price_of_their_own_and_painted_ones_the_plan() -> None:
    """Eight chips: 24 minutes and 1.5 each are 0.6 h, at 78.00 an hour 46.80; 26 are more than is touched in."""

    def told(count: int, paint: PaintChoice = PaintChoice.NO_PAINT) -> int | None:
        chips = make_damage(1, "bonnet", DamageKind.CHIP, chip_count=count, paint=paint)
        price = list_price(CATALOGUE, [chips], 7800).price
        return price and price.price_minor

    assert told(8) == 4680
    assert told(25) is not None
    assert (told(26), told(8, PaintChoice.PAINT), told(0)) == (None, None, None)
