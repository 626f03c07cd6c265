"""Which group of a quote carries a stage, and which of the drafted work is new beside a plan that is kept."""

from collections.abc import Collection, Iterable
from dataclasses import replace
from typing import TypeVar

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.planning.shapes import DraftStage, DraftUse

What = TypeVar("What")

WHOLE_CAR_GROUP = "car"


def group_key(panels: Collection[str], hurt: Collection[str], catalogue: Catalogue) -> str:
    """The group of a stage on these panels: its one damaged panel, or the whole car where it serves several or none.

    A panel that is only blended into belongs to the damaged panel it is next to, if that is one.
    """
    own = [panel for panel in panels if panel in hurt]
    if not own:
        own = [
            each for each in hurt if each in catalogue.panels and set(panels) & set(catalogue.panels[each].neighbours)
        ]
    return own[0] if len(own) == 1 else WHOLE_CAR_GROUP


def only_on(stage: DraftStage, panels: Collection[str]) -> DraftStage:
    """The part of a drafted stage that falls on these panels: minutes, uses and coats by the panels' own shares."""
    kept = tuple(panel for panel in stage.panels if panel in panels)
    minutes = _pairs_on(stage.minutes_by_panel, kept)
    uses = (_use_on(use, kept) for use in stage.uses)
    return replace(
        stage,
        panels=kept,
        minutes_by_panel=minutes,
        minutes=sum(each for _, each in minutes),
        uses=tuple(use for use in uses if use.amount_thousandths > 0),
        mixes=(),
        lays=_pairs_on(stage.lays, kept),
        waits=tuple(wait for wait in stage.waits if wait.panel in kept),
    )


def _pairs_on(pairs: Iterable[tuple[str, What]], panels: Collection[str]) -> tuple[tuple[str, What], ...]:
    return tuple(pair for pair in pairs if pair[0] in panels)


def longer_by(stage: DraftStage, minutes: int) -> DraftStage:
    """The same stage with another total of man-minutes, spread over its panels as they were, and without uses."""
    if not stage.minutes_by_panel:
        return replace(stage, minutes=minutes, uses=(), mixes=())
    panels, before = zip(*stage.minutes_by_panel, strict=True)
    by_panel = tuple(zip(panels, share_out(minutes, before), strict=True))
    return replace(stage, minutes=minutes, minutes_by_panel=by_panel, uses=(), mixes=())


def _use_on(use: DraftUse, panels: Collection[str]) -> DraftUse:
    shares = _pairs_on(use.shares, panels)
    return replace(use, shares=shares, amount_thousandths=sum(amount for _, amount in shares))
