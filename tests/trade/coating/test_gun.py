"""Coats by product and colour, and gun set-ups."""

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.coating.gun import CoatKind, coats_for, hides_weakly, setup_warnings
from shopbook.trade.coating.paints import Finish, Paint

GUNS = own_catalogue().guns


@pytest.mark.parametrize("paint", list(Paint))
@pytest.mark.parametrize("finish", list(Finish))
@pytest.mark.parametrize("blend", [False, True])
@pytest.mark.parametrize("silicone", [False, True])
def test_the_coats_of_one_product_make_one_film(paint: Paint, finish: Finish, blend: bool, silicone: bool) -> None:
    coats = coats_for(paint, finish, silicone_suspected=silicone, blend=blend)
    assert coats
    assert sum(coat.share for coat in coats) == pytest.approx(1)
    assert all(coat.words and (coat.share > 0 or coat.kind is CoatKind.BLEND_BED) for coat in coats)


@pytest.mark.parametrize("paint", list(Paint))
def test_suspected_silicone_puts_a_thin_coat_first(paint: Paint) -> None:
    assert coats_for(paint, silicone_suspected=True)[0].kind is CoatKind.THIN
    assert all(coat.kind is not CoatKind.THIN for coat in coats_for(paint))


def test_each_coat_waits_before_the_next_and_a_dusted_one_longest() -> None:
    """8 minutes after a coat of base, surfacer or clear, 10 after one dusted on over silicone, none after the last."""
    clear = coats_for(Paint.CLEAR_MEDIUM, silicone_suspected=True)
    assert [coat.flash_minutes for coat in clear] == [10, 8, 0]
    assert [coat.share for coat in clear] == [pytest.approx(share / 2.3) for share in (0.3, 0.9, 1.1)]
    assert {coat.flash_minutes for coat in coats_for(Paint.BASE_SOLVENT, Finish.METALLIC, blend=True)} == {8}
    assert {coat.flash_minutes for coat in coats_for(Paint.SURFACER)} == {8}


def test_metallic_ends_with_a_drop_coat_and_solid_does_not() -> None:
    """Common practice, 85 % sure: two coats and a lighter drop coat."""
    metallic = coats_for(Paint.BASE_SOLVENT, Finish.METALLIC)
    assert [coat.kind for coat in metallic] == [CoatKind.MEDIUM, CoatKind.MEDIUM, CoatKind.DROP]
    assert metallic[-1].share < metallic[0].share
    assert [coat.kind for coat in coats_for(Paint.BASE_SOLVENT)] == [CoatKind.MEDIUM] * 2


def test_a_blend_lays_a_bed_first_and_loses_its_edge_last() -> None:
    kinds = [coat.kind for coat in coats_for(Paint.BASE_WATER, blend=True)]
    assert kinds[0] is CoatKind.BLEND_BED
    assert kinds[-1] is CoatKind.DROP


def test_a_weak_colour_takes_a_coat_more() -> None:
    assert hides_weakly("Weak yellow")
    assert not hides_weakly("deep blue")
    assert len(coats_for(Paint.BASE_SOLVENT, hue="weak red")) == len(coats_for(Paint.BASE_SOLVENT)) + 1


def test_build_takes_a_third_coat_of_surfacer() -> None:
    assert len(coats_for(Paint.SURFACER)) == 2
    assert len(coats_for(Paint.SURFACER, full_build=True)) == 3


def test_a_drop_coat_is_laid_from_further_off() -> None:
    assert GUNS["base_drop"].distance_cm[0] >= GUNS["base_solvent"].distance_cm[1]


def test_what_is_set_outside_the_usual_is_said_and_nothing_else() -> None:
    base, drop = GUNS["base_solvent"], GUNS["base_drop"]
    assert setup_warnings(base, {"tip_mm": 1.3, "inlet_bar": 2.0, "distance_cm": None}) == ()
    assert setup_warnings(base, {"tip_mm": 1.8}) == ("A tip of 1.8 mm is outside the usual 1.2 to 1.4 mm.",)
    assert setup_warnings(base, {"distance_cm": 25})
    assert setup_warnings(base, {"distance_cm": 25}, drop) == ()
    assert setup_warnings(base, {"distance_cm": 40}, drop) == (
        "A distance of 40 cm (16 in) is outside the usual 13 to 20 cm (5 to 8 in) or 20 to 30 cm (8 to 12 in).",
    )
