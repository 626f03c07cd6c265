"""Our usual figures beside what makers' sheets and trade writers print (found in a search of 2026-11, brands left out).

Facts of the trade: a sheet speaks for one product, so each check asks only that ours lies where the sheet's does.
"""

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.coating.filler import SANDING_MINUTES_AT_20, hardener_percent
from shopbook.trade.coating.film import TRANSFER_SINGLE_PANEL, um_from_mil
from shopbook.trade.coating.gun import coats_for
from shopbook.trade.coating.paints import Paint

MIXES = own_catalogue().mixes


@pytest.mark.parametrize("clear", ["clear_medium", "clear_matt"])
def test_clear_is_planned_inside_the_film_that_a_maker_recommends(clear: str) -> None:
    """A maker's tip on film build (March 2015): 2 to 2.5 mil dry; under 2 fails early, over 3 pops and dies back."""
    assert um_from_mil(2.0) <= MIXES[clear].dry_um <= um_from_mil(2.5)


def test_clear_is_laid_in_the_coats_that_a_sheet_names_for_a_two_pack_topcoat() -> None:
    """A maker's sheet of a two-pack topcoat: two or three coats."""
    assert 2 <= len(coats_for(Paint.CLEAR_MEDIUM)) <= 3


@pytest.mark.parametrize("paint", [Paint.CLEAR_MEDIUM, Paint.SURFACER, Paint.BASE_SOLVENT])
def test_coats_flash_five_to_ten_minutes(paint: Paint) -> None:
    """A maker's sheet of a two-pack topcoat: 5 to 10 minutes between coats."""
    assert all(5 <= coat.flash_minutes <= 10 for coat in coats_for(paint)[:-1])


def test_filler_hardens_with_one_to_three_percent_and_sands_after_twenty_minutes() -> None:
    """A paint chemist's note on polyester repair filler: 1 to 3 % of a 50 % peroxide paste; sanded after 20 minutes."""
    assert all(1 <= hardener_percent(celsius) <= 3 for celsius in range(-10, 45))
    assert SANDING_MINUTES_AT_20 == 20


def test_no_more_paint_is_reckoned_to_land_than_trainers_see() -> None:
    """A trade journal's primer: 50 to 60 % for low-pressure guns; a pollution prevention centre's trainer: rarely over
    50 % among automotive painters."""
    ours = {where: own_catalogue().numbers[f"transfer_{where}"].value for where in ("spot", "single", "large")}
    assert ours["spot"] < ours["single"] == TRANSFER_SINGLE_PANEL <= 0.50
    assert ours["large"] <= 0.60


@pytest.mark.parametrize("code", sorted(own_catalogue().guns))
def test_an_overlap_of_half_or_more_is_asked_for(code: str) -> None:
    """A state air board's fact sheet for refinishers: 50 % each pass, altered for metallics and three stages."""
    assert own_catalogue().guns[code].overlap_percent[0] >= 50
