"""Five hundred random plans from one seed: no pot holds more of its own listed coats than it leaves time for."""

import math
import random
import re

from shopbook.trade.catalogue.reading import own_catalogue
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.mixes import Spot, spray
from shopbook.trade.planning.shapes import (
    Car,
    Choices,
    Conditions,
    DamageKind,
    DepthStep,
    DraftDamage,
    DraftMix,
    DraftPlan,
    Finish,
    PaintChoice,
    SizeStep,
)
from shopbook.trade.planning.work import DraftBasis

CATALOGUE = own_catalogue()
PANELS = sorted(set(CATALOGUE.panels) - {"left_mirror", "right_mirror"})
PLANS = 500


def random_plan(rng: random.Random) -> DraftPlan:
    """A car of one to six damages: with and without silicone, from 5 to 38 °C, one to four coats of each kind."""
    damages = [
        DraftDamage(
            number=place,
            panel=panel,
            kind=rng.choice([DamageKind.DENT, DamageKind.SCRATCH, DamageKind.RUST, DamageKind.FADED_CLEAR]),
            size=rng.choice(list(SizeStep)),
            depth=rng.choice(list(DepthStep)),
            paint=rng.choice([PaintChoice.PAINT, PaintChoice.BLEND]),
        )
        for place, panel in enumerate(rng.sample(PANELS, rng.randint(1, 6)), start=1)
    ]
    car = Car(rng.choice(list(Finish)), rng.choice(["", "weak red"]), is_silicone_suspected=rng.random() < 0.5)
    choices = Choices(
        base_coats=rng.choice([None, 1, 3]),
        clear_coats=rng.choice([None, 1, 3, 4]),
        surfacer_coats=rng.choice([None, 2, 4]),
        is_surfacer_for_build=rng.random() < 0.3,
    )
    return draft_plan(CATALOGUE, car, damages, Conditions(rng.uniform(5, 38), rng.uniform(30, 90)), choices)


def listed_coats(mix: DraftMix) -> list[int]:
    """The flash after each coat as the plan lists them, in minutes: "2 × first coat, 8 min" is two of 8."""
    found = []
    for words in mix.laid:
        many, flash = re.match(r"(\d+) × ", words), re.search(r", (\d+) min$", words)
        found += [int(flash[1]) if flash else 0] * (int(many[1]) if many else 1)
    return found


def minutes_of_pots(mix: DraftMix, pot_coats: list[list[int]]) -> list[int]:
    """Minutes from the first pass to the last of each pot, from the coats that its words name."""
    each = max(3, math.ceil(CATALOGUE.mixes[mix.code].coat_minutes * mix.area_cm2 / 10_000 - 0.001))
    flashes = listed_coats(mix)
    return [len(own) * each + sum(flashes[number - 1] for number in own[:-1]) for own in pot_coats]


def coats_of_pots(mix: DraftMix) -> list[list[int]]:
    """Which coats each pot is for, as the plan's words name them; all of them where it is one pot."""
    named = re.findall(r"ml for coats? (\d+)(?: (and|to) (\d+))?", mix.reason)
    if not named:
        return [list(range(1, len(listed_coats(mix)) + 1))]
    return [list(range(int(first), int(last or first) + 1)) for first, _, last in named]


def test_no_pot_holds_more_than_its_own_coats_and_flashes_leave_time_for() -> None:
    rng = random.Random(20261130)
    pots = parted = 0
    for _ in range(PLANS):
        for mix in (mix for stage in random_plan(rng).stages for mix in stage.mixes if mix.pot_life_minutes):
            coats = coats_of_pots(mix)
            assert len(coats) == max(1, len(mix.cups_ml)) == mix.batches
            assert sum(mix.cups_ml) in {0, mix.total_ml}
            assert {number for own in coats for number in own} == set(range(1, len(listed_coats(mix)) + 1))
            minutes = minutes_of_pots(mix, coats)
            for own, taken, said in zip(coats, minutes, mix.cup_minutes, strict=True):
                pots += 1
                share = coats.count(own) if len(own) == 1 else 1
                parted += share > 1
                assert taken <= mix.pot_life_minutes * share, (mix, minutes)
                assert said <= mix.pot_life_minutes
    assert pots > 1_000


def test_one_mix_of_clear_covers_two_and_a_half_square_metres() -> None:
    """2.6 m²: two coats of 11 min and 8 min between are 30 of the 50 min; at 30 °C 26 of 25 are two mixes."""

    def clear(celsius: float) -> DraftMix:
        basis = DraftBasis(CATALOGUE, Car(Finish.SOLID), Conditions(celsius), Choices(), ())
        return spray(basis, "clear_medium", [Spot("roof", 2.6, 0.6)]).mix

    assert (clear(20).batches, clear(20).cup_minutes) == (1, (30,))
    assert clear(30).batches == 2


def test_the_thin_first_coat_takes_three_tenths_of_a_coat_on_top() -> None:
    """Two coats of 160 ml and a thin one before them: 48 + 160 + 160 = 368 ml, with 40 ml of loss 408, in steps 410."""

    def clear(*, is_silicone_suspected: bool) -> DraftMix:
        car = Car(Finish.SOLID, is_silicone_suspected=is_silicone_suspected)
        basis = DraftBasis(CATALOGUE, car, Conditions(), Choices(), ())
        return spray(basis, "clear_medium", [Spot("roof", 320 * 0.385 * 0.5 / 52, 0.5)]).mix

    assert clear(is_silicone_suspected=False).total_ml == 360
    assert clear(is_silicone_suspected=True).total_ml == 410
