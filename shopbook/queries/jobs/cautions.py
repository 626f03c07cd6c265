"""The cautions of stages: those drafted for them, and the shop's own lines as they hold now."""

from collections.abc import Iterable

from shopbook.models.jobs import Stage
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.cautions import CautionText, in_order


def cautions_of(stages: Iterable[Stage], today: Catalogue) -> tuple[CautionText, ...]:
    """The cautions of what is not done of these stages, each once, those that stop the work first.

    The shop's own lines are those of `today`, whenever the plan was agreed: a rule that guards people does not wait.
    """
    open_stages = [stage for stage in stages if stage.finished_at is None]
    kinds = [kind for stage in open_stages if (kind := today.stages.get(stage.code)) is not None]
    codes = (code for stage in open_stages for code in stage.cautions)
    return in_order(codes, (line for kind in kinds for line in kind.own_cautions), today)
