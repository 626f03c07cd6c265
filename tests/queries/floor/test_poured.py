"""The mix just poured, that a spray record begins with."""

from sqlalchemy.orm import Session

from shopbook.queries.floor.sprays import PouredMix, list_poured
from shopbook.queries.jobs.plans import get_stage, list_stages
from shopbook.services.act import Act
from shopbook.services.floor.mixes import Poured, make_mix
from tests.makers.jobs import make_planned_job


def test_the_newest_mix_of_a_stage_comes_first_by_its_code_in_the_plan(session: Session, act: Act) -> None:
    job = make_planned_job(session)
    stage = next(each for each in list_stages(session, job.id) if each.code == "base_clear")
    base = make_mix(act, "Base", [Poured("colour", 200_000), Poured("base_reducer", 100_000)], [(stage.id, 300_000)])
    clear = make_mix(
        act, "Clear", [Poured("clear", 200_000), Poured("clear_activator", 100_000)], [(stage.id, 300_000)]
    )
    assert list_poured(session, get_stage(session, stage.id)) == [
        PouredMix(clear.id, "clear_medium", ()),
        PouredMix(base.id, "base_solvent", ()),
    ]
