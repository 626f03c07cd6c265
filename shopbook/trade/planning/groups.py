"""Which group of a quote carries a stage, and which of the drafted work is new beside a plan that is kept."""

from collections.abc import Collection, Mapping
from dataclasses import replace

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.planning.shapes import DraftStage, DraftUse

WHOLE_CAR_GROUP = "car"


def group_key(panels: Collection[str], hurt: Collection[str], catalogue: Catalogue) -> str:
    """The group of a stage on these panels: its one hurt panel, or the whole car where it serves several or none.

    A panel that is only blended into belongs to the hurt panel whose neighbour it is, if that is one.
    """
    own = [panel for panel in panels if panel in hurt]
    if not own:
        own = [each for each in hurt if each in catalogue.panels and set(panels) & _neighbours(catalogue, each)]
    return own[0] if len(own) == 1 else WHOLE_CAR_GROUP


def _neighbours(catalogue: Catalogue, panel: str) -> set[str]:
    return set(catalogue.panels[panel].neighbours)


def _uses_on(stage: DraftStage, panels: Collection[str]) -> tuple[DraftUse, ...]:
    uses = (_use_on(use, panels) for use in stage.uses)
    return tuple(use for use in uses if use.amount_thousandths > 0)


def only_on(stage: DraftStage, panels: Collection[str]) -> DraftStage:
    """The part of a drafted stage that falls on these panels: minutes, uses and coats by the panels' own shares."""
    kept = tuple(panel for panel in stage.panels if panel in panels)
    minutes = tuple((panel, each) for panel, each in stage.minutes_by_panel if panel in kept)
    return replace(
        stage,
        panels=kept,
        minutes_by_panel=minutes,
        minutes=sum(each for _, each in minutes),
        uses=_uses_on(stage, kept),
        mixes=(),
        lays=tuple((panel, coat) for panel, coat in stage.lays if panel in kept),
    )


def longer_by(stage: DraftStage, minutes: int) -> DraftStage:
    """The same stage with other man-minutes in all, spread over its panels as they were, and without uses."""
    if not stage.minutes_by_panel:
        return replace(stage, minutes=minutes, uses=(), mixes=())
    from_whole = _spread(minutes, dict(stage.minutes_by_panel))
    return replace(stage, minutes=minutes, minutes_by_panel=tuple(from_whole.items()), uses=(), mixes=())


def _spread(total: int, by_panel: Mapping[str, int]) -> dict[str, int]:
    return dict(zip(by_panel, share_out(total, list(by_panel.values())), strict=True))


def _use_on(use: DraftUse, panels: Collection[str]) -> DraftUse:
    shares = tuple((panel, amount) for panel, amount in use.shares if panel in panels)
    return replace(use, shares=shares, amount_thousandths=sum(amount for _, amount in shares))
