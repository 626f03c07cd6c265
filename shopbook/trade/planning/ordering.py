"""Who comes after whom in a plan when a stage is moved or put in: edges are ids of stages by the stage behind them."""

from collections.abc import Iterable, Sequence

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.floor.coat_waits import Layer
from shopbook.trade.letters import lower_first
from shopbook.trade.planning.shapes import DraftWarning

Edges = dict[int, set[int]]


def swap_edges(edges: Edges, first: int, second: int) -> None:
    """Let `first` stand before `second`; where it waited for that one, that one waits for it from now on."""
    if second in edges[first]:
        edges[first].discard(second)
        edges[first] |= edges[second] - {first}
        edges[second].add(first)


def edges_behind(edges: Edges, added: int, before: int, begun: Iterable[int] = ()) -> Edges:
    """The edges that change when a stage is put behind another: what waited for that one waits for the new one.

    What has begun goes on waiting for what it waited for.
    """
    changed = {added: {before}}
    for key, befores in edges.items():
        if before in befores and key not in set(begun):
            changed[key] = befores - {before} | {added}
    return changed


def edges_in_front(edges: Edges, added: int, follower: int) -> Edges:
    """The edges that change when a stage is put in front of another: it takes over all that that one waited for."""
    return {added: set(edges.get(follower, ())), follower: {added}}


FIRST_THINGS: tuple[tuple[StageCode, StageCode, str], ...] = (
    (StageCode.STRIP, StageCode.FILL, "filler does not hold on old paint"),
    (StageCode.FILL, StageCode.PRIME, "filler is covered by primer"),
    (StageCode.PRIME, StageCode.BLOCK, "there is no primer to sand yet"),
    (StageCode.BLOCK, StageCode.BASE_CLEAR, "scratches and edges of the primer show through the {colour}"),
    (StageCode.CLEAR_PREP, StageCode.BASE_CLEAR, "nothing sticks to old {clear} that still shines"),
    (StageCode.COLOUR, StageCode.BASE_CLEAR, "the {colour} is checked before it is on the car"),
    (StageCode.MASK, StageCode.BASE_CLEAR, "overspray lands on what is not masked"),
    (StageCode.BASE_CLEAR, StageCode.UNMASK, "the tape comes off before the {colour} is on"),
    (StageCode.BASE_CLEAR, StageCode.POLISH, "it is polished before the new {clear} is on and cured"),
    (StageCode.UNMASK, StageCode.POLISH, "it is polished with the tape on"),
)
"""What the trade does first, what then, and what goes wrong the other way round; common practice."""


def order_warnings(stages: Sequence[tuple[Layer, str]]) -> list[DraftWarning]:
    """What a painter would say of the order of a plan: stages (with their names) in order, removed ones left out.

    `stage` is the id of the one that stands too early; the sentences hold keys of the country's words. Base that stands
    before the colour check is warned of; where the check stands before it as well, it is done twice and nothing is
    wrong. What is finished is over.
    """
    found = []
    for first, second, why in FIRST_THINGS:
        for place, (layer, name) in enumerate(stages):
            if layer.code == second and layer.finished_at is None:
                found += _too_early(first, layer, stages[:place], stages[place + 1 :], f"“{name}” stands before", why)
    return found


_Named = Sequence[tuple[Layer, str]]


def _too_early(first: str, layer: Layer, before: _Named, later: _Named, words: str, why: str) -> list[DraftWarning]:
    """The warning where what comes first stands only after a stage on the same panel."""
    if any(one.code == first and _meet(one, layer) for one, _ in before):
        return []
    names = [name for one, name in later if one.code == first and _meet(one, layer)]
    return [DraftWarning("order", f"{words} “{lower_first(name)}”: {why}.", layer.id) for name in names[:1]]


def _meet(one: Layer, other: Layer) -> bool:
    """Whether two stages work on one panel; a stage without panels works on the whole car."""
    return not one.panels or not other.panels or bool(set(one.panels) & set(other.panels))
