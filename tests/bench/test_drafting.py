"""How long a draft of six damages takes; measured by hand with `pytest tests/bench -s`, not run by default."""

from statistics import median
from time import perf_counter

from shopbook.trade.planning.shapes import Car, DamageKind, PaintChoice, Substrate
from tests.makers.plans import draft, make_damage

PANELS = ("left_front_door", "left_front_door", "left_rear_door", "bonnet", "left_quarter")


def test_six_damages_are_drafted_in_under_five_milliseconds():
    damages = [make_damage(n, panel, paint=PaintChoice.BLEND) for n, panel in enumerate(PANELS, start=1)]
    damages.append(make_damage(6, "rear_bumper", DamageKind.SCUFF, substrate=Substrate.PLASTIC))
    took = []
    for _ in range(100):
        began = perf_counter()
        draft(damages, Car())
        took.append((perf_counter() - began) * 1000)
    print(f"\nsix damages drafted: median {median(took):.2f} ms, slowest {max(took):.2f} ms")
    assert median(took) < 5
