"""A standard typed as the minutes that a painter knows: of one usual repair, all minutes of the stage alike."""

import pytest
from sqlalchemy import func, select

from shopbook.models.shop import LogLine
from shopbook.queries.shop.rates import catalogue_on
from shopbook.services.act import Act
from shopbook.services.reports.learning import use_minutes
from shopbook.trade.errors import RuleBroken
from shopbook.trade.planning.usual import usual_minutes
from shopbook.trade.results.learning import Taught, ThreeFigures, three_figures


def test_minutes_typed_for_a_usual_repair_multiply_all_minutes_of_the_stage(act: Act) -> None:
    """54 where 45 are usual is 1.2 times: 34 minutes a damage become 41, in one line of the log."""
    catalogue = catalogue_on(act.session, act.day)
    assert usual_minutes(catalogue)["fill"] == 45
    before = act.session.scalar(select(func.count()).select_from(LogLine)) or 0
    use_minutes(act, "fill", ThreeFigures(45, None), 54)
    act.session.flush()
    held = catalogue_on(act.session, act.day)
    assert (held.stages["fill"].damage_minutes, held.stages["fill"].is_own) == (41, True)
    assert usual_minutes(held)["fill"] == 54
    assert act.session.scalar(select(func.count()).select_from(LogLine)) == before + 1


@pytest.mark.parametrize("code", ["trim_off", "paintless"])
def test_a_stage_whose_minutes_stand_with_the_panels_takes_none(act: Act, code: str) -> None:
    with pytest.raises(RuleBroken, match="set by the panel"):
        use_minutes(act, code, ThreeFigures(18, None), 20)


def test_the_three_figures_of_a_stage() -> None:
    """45 usual, a fifth longer: 54. Without a usual repair and 60 in the middle at 1.2: usual 50, yours 60."""
    taught = Taught(13, 60, 50, 70, 1200)
    assert three_figures(45, taught) == ThreeFigures(45, 54, 13, 1200)
    assert three_figures(None, taught) == ThreeFigures(50, 60, 13, 1200)
    known = three_figures(45, None)
    assert known is not None
    assert (known.yours, known.offered, known.is_off) == (None, 45, False)
    assert three_figures(None, None) is None
