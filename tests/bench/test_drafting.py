"""How long a draft of six damages takes beside loading its job; measured by hand with `pytest tests/bench -s`."""

from collections.abc import Callable
from statistics import median
from time import process_time

from sqlalchemy.orm import Session

from shopbook.queries.jobs.jobs import get_job
from shopbook.trade.planning.shapes import Car, DamageKind, PaintChoice, Substrate
from tests.asking import job_sheet
from tests.makers.jobs import make_planned_job
from tests.makers.plans import draft, make_damage
from tests.makers.shop import STARTED

PANELS = ("left_front_door", "left_front_door", "left_rear_door", "bonnet", "left_quarter")
SIX = ("left_front_door", "left_rear_door", "bonnet", "left_quarter", "roof", "boot_lid")


def took(rounds: int, act: Callable[[], object]) -> list[float]:
    """Milliseconds of each round by this process alone: what else runs on the machine is no fault of the code."""
    found = []
    for _ in range(rounds):
        began = process_time()
        act()
        found.append((process_time() - began) * 1000)
    return found


def test_six_damages_are_drafted_in_under_five_milliseconds(session: Session) -> None:
    damages = [make_damage(n, panel, paint=PaintChoice.BLEND) for n, panel in enumerate(PANELS, start=1)]
    damages.append(make_damage(6, "rear_bumper", DamageKind.SCUFF, substrate=Substrate.PLASTIC))
    drafted = took(100, lambda: draft(damages, Car()))
    number = make_planned_job(session, *SIX).number

    def load() -> None:
        session.expire_all()
        job_sheet(session, get_job(session, number), STARTED)

    loaded = took(20, load)
    print(f"\nsix damages drafted: median {median(drafted):.2f} ms, slowest {max(drafted):.2f} ms")
    print(f"their job loaded: median {median(loaded):.1f} ms, slowest {max(loaded):.1f} ms")
    assert median(drafted) < 5
