"""Advice on trouble, and the stages that it adds."""

import pytest

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.countries import known_country
from shopbook.trade.errors import RuleBroken
from shopbook.trade.trouble.advice import TROUBLES, stages_for
from shopbook.trade.trouble.kinds import FOUND_WORDS, Defect, FoundIn

PLACES = [(defect, found) for defect, trouble in TROUBLES.items() for found in trouble.stages]


def test_every_kind_of_trouble_has_causes_and_something_to_do_now_and_next_time() -> None:
    assert set(TROUBLES) == set(Defect)
    for trouble in TROUBLES.values():
        assert trouble.looks
        assert len(trouble.causes) >= 3
        assert trouble.now
        assert trouble.next_time
        assert trouble.stages


@pytest.mark.parametrize(("defect", "found"), PLACES)
@pytest.mark.parametrize("returned", [False, True])
def test_every_stage_that_trouble_adds_is_in_the_catalogue(defect: Defect, found: FoundIn, returned: bool) -> None:
    stages = stages_for(defect, found, returned=returned)
    assert stages
    assert set(stages) <= set(own_catalogue().stages)


def test_a_run_in_clear_is_polished_and_cleared_again_when_it_returns() -> None:
    assert stages_for(Defect.RUN, FoundIn.CLEAR) == ("flat_polish",)
    assert "scuff_clear" in stages_for(Defect.RUN, FoundIn.CLEAR, returned=True)


def test_base_that_is_laid_again_always_ends_with_clear() -> None:
    for defect, found in PLACES:
        stages = stages_for(defect, found)
        laid = [code for code in stages if code in {"scuff_base", "base_clear", "clear_over", "scuff_clear"}]
        assert laid[-1:] != ["scuff_base"]


def test_a_blend_edge_in_clear_is_polished_before_it_is_resprayed() -> None:
    assert stages_for(Defect.BLEND_EDGE, FoundIn.CLEAR) == ("flat_polish",)
    assert "base_clear" in stages_for(Defect.BLEND_EDGE, FoundIn.CLEAR, returned=True)


def test_pinholes_go_back_to_filler_and_peeling_to_sound_ground() -> None:
    assert "fill" in stages_for(Defect.PINHOLES, FoundIn.CLEAR)
    assert stages_for(Defect.PEELING, FoundIn.CLEAR)[0] == "strip_old"
    assert stages_for(Defect.EDGE_MAPPING, FoundIn.CLEAR, returned=True)[:2] == ("strip_old", "fill")


def test_what_ends_in_colour_or_clear_is_unmasked_and_polished() -> None:
    for defect, found in PLACES:
        stages = stages_for(defect, found)
        if "base_clear" in stages:
            assert stages[-2:] == ("unmask", "polish")


def test_trouble_that_a_coat_cannot_have_is_refused() -> None:
    with pytest.raises(RuleBroken, match="Dieback"):
        stages_for(Defect.DIEBACK, FoundIn.BASE)


@pytest.mark.parametrize("code", ["us", "gb", "au", "ca", "ie"])
def test_every_word_that_differs_by_country_is_found_there(code: str) -> None:
    country = known_country(code)
    for trouble in TROUBLES.values():
        for words in (trouble.name, trouble.looks, *trouble.causes, *trouble.now, *trouble.next_time):
            assert "{" not in country.say(words)
    assert not any("{" in country.say(words) for words in FOUND_WORDS.values())


def test_a_painter_reads_clear_coat_in_the_states_and_lacquer_in_britain() -> None:
    run = TROUBLES[Defect.RUN]
    there, here = known_country("us"), known_country("gb")
    assert there.say(run.causes[2]) == "Cold metal, or reducer too slow for the day"
    assert here.say(run.causes[2]) == "Cold metal, or thinners too slow for the day"
    assert there.say(run.now[1]).startswith(
        "In the clear coat: let it cure, shave or block it down, then sand and buff"
    )
    assert here.say(run.now[1]).startswith(
        "In the lacquer: let it cure, shave or flat it down, then sand and machine polish"
    )
    assert there.say(TROUBLES[Defect.COLOUR_OFF].name) == "Color mismatch"
    assert here.say(TROUBLES[Defect.COLOUR_OFF].name) == "Colour mismatch"
