"""Waits belong to the coat: what each coat on a panel asks of whatever works on that panel after it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.floor.waits import WaitKind
from shopbook.trade.purposes import StagePurpose


class Touch(StrEnum):
    """What work does to a coat that lies on the panel, what needs the least hardness first."""

    HANDLE = "handle"
    """Tape comes off it."""
    COAT = "coat"
    """The next coat is laid on it as it is."""
    FIT = "fit"
    """Trim goes on it, it is washed, the car is driven."""
    SAND = "sand"
    """It is sanded, polished, or taped over."""


HARDER = tuple(Touch)

WHOLE_CAR = ""
"""The panel of a coat that is on no one panel; work without panels works on all of them."""

TOUCHES: dict[str, Touch | None] = {
    StageCode.CHECK_IN: None,
    StageCode.COLOUR: None,
    StageCode.CURE: None,
    StageCode.UNMASK: Touch.HANDLE,
    StageCode.EPOXY_FIRST: Touch.COAT,
    StageCode.SEAL: Touch.COAT,
    StageCode.PRIME: Touch.COAT,
    StageCode.BASE_CLEAR: Touch.COAT,
    StageCode.CLEAR_OVER: Touch.COAT,
    StageCode.TRIM_OFF: Touch.FIT,
    StageCode.PAINTLESS: Touch.FIT,
    StageCode.FIT_PART: Touch.FIT,
    StageCode.WAX: Touch.FIT,
    StageCode.REFIT: Touch.FIT,
    StageCode.CALIBRATION: Touch.FIT,
    StageCode.HAND_OVER: Touch.FIT,
    StagePurpose.STRIP_AND_LOOK: None,
    StagePurpose.REWORK: None,
    StagePurpose.GOODWILL: None,
    StagePurpose.OWN_CAR: None,
}
"""What a stage does to the coats under it, by its code; any other sands, as does work of a name that we do not know.
A stage that is begun on the floor without any panel (its code is then its purpose) touches none."""


SANDS = frozenset(
    {
        StageCode.STRIP,
        StageCode.STRIP_OLD,
        StageCode.SAND_BACK,
        StageCode.FEATHER,
        StageCode.FILL,
        StageCode.BLOCK,
        StageCode.CLEAR_PREP,
        StageCode.POLISH,
        StageCode.FLAT_POLISH,
        StageCode.PRIME_PART,
        StageCode.SCUFF_BASE,
        StageCode.SCUFF_PRIMER,
        StageCode.SCUFF_CLEAR,
        StageCode.PROMOTER_AGAIN,
    }
)
"""What opens a coat for the next one again. Work of an unknown name waits as if it sanded, and opens nothing."""


def touch_of(code: str) -> Touch | None:
    """What a stage does to the coats on its panels; None for one that leaves them alone."""
    return TOUCHES.get(code, Touch.SAND)


@dataclass(frozen=True, slots=True)
class CoatWait:
    """One wait of one coat on one panel ("" is the whole car), counted from the moment when its stage is done.

    `opens` says what may be done to the coat after `not_before_minutes`. `not_after_minutes` closes the window: past it
    the stage coded `adds` comes first; without one it is advice ("easiest within 48 h"). What `is_inside` is sat out
    within the stage and asks nothing of later ones. `with_lamp_minutes` is what a lamp or bake would make of it.
    """

    panel: str
    coat: str
    opens: Touch
    kind: str = WaitKind.DRY.value
    not_before_minutes: int = 0
    not_after_minutes: int | None = None
    adds: str = ""
    reason: str = ""
    is_inside: bool = False
    is_kept_over_closed_days: bool = True
    """False where no closed day may fall inside the window (base to clear)."""
    is_under_lamp: bool = False
    with_lamp_minutes: int | None = None
    needs_heat: bool = False
    """True where it is too cold to harden at all; the minutes are then those of the coldest counted temperature."""

    @property
    def closes(self) -> bool:
        """Whether a passed window asks for another stage; a limit without one is advice."""
        return self.not_after_minutes is not None and bool(self.adds)


@dataclass(frozen=True, slots=True)
class Layer:
    """What of a stage bears on coats: what it lays, what it touches, when it was done. Stages stand in plan order."""

    id: int
    code: str = ""
    panels: tuple[str, ...] = ()
    waits: tuple[CoatWait, ...] = ()
    is_struck: bool = False
    finished_at: datetime | None = None

    @property
    def touch(self) -> Touch | None:
        """What it does to the coats under it."""
        return touch_of(self.code)

    @property
    def renews(self) -> bool:
        """Whether it opens the coats under it for the next one again: it sands or covers them."""
        return not self.is_struck and (self.code in SANDS or self.touch is Touch.COAT)

    def is_on(self, panel: str) -> bool:
        """Whether it works on a panel; without panels it works on the whole car."""
        return not self.panels or panel == WHOLE_CAR or panel in self.panels


@dataclass(frozen=True, slots=True)
class SatOut:
    """One coat's wait that a stage has to sit out, and the stage that lays the coat."""

    layer: Layer
    wait: CoatWait

    @property
    def ready_at(self) -> datetime | None:
        """When the coat allows it; None while it is not laid."""
        if self.layer.finished_at is None:
            return None
        return self.layer.finished_at + timedelta(minutes=self.wait.not_before_minutes)

    @property
    def shuts_at(self) -> datetime | None:
        """When its window closes, or when it is no longer at its easiest; None without a limit, or while not laid."""
        if self.layer.finished_at is None or self.wait.not_after_minutes is None:
            return None
        return self.layer.finished_at + timedelta(minutes=self.wait.not_after_minutes)


def asked_of(stage: Layer, stages: Sequence[Layer]) -> list[SatOut]:
    """Every wait that a stage has to sit out: of the coats on its panels that stand before it or are laid already.

    The neighbour in the plan does not matter, nor who comes after whom: removing, moving or adding any other stage
    leaves them as they are, and a removed stage takes only the waits of its own coats along. A coat that says nothing
    of what is done to it is asked for the next harder thing, else for the hardest that it knows.
    """
    touch = stage.touch
    if touch is None:
        return []
    return [SatOut(layer, wait) for layer in _under(stage, stages) for wait in _waits_for(touch, layer, stage)]


def _under(stage: Layer, stages: Sequence[Layer]) -> Iterator[Layer]:
    is_before = True
    for other in stages:
        if other.id == stage.id:
            is_before = False
        elif other.waits and not other.is_struck and (is_before or other.finished_at is not None):
            yield other


def _waits_for(touch: Touch, layer: Layer, stage: Layer) -> Iterator[CoatWait]:
    coats: dict[tuple[str, str], dict[Touch, CoatWait]] = {}
    for wait in layer.waits:
        if not wait.is_inside and stage.is_on(wait.panel):
            coats.setdefault((wait.panel, wait.coat), {})[wait.opens] = wait
    for known in coats.values():
        harder = [known[each] for each in HARDER[HARDER.index(touch) :] if each in known]
        yield harder[0] if harder else known[max(known, key=HARDER.index)]


def windows_of(stage: Layer, stages: Sequence[Layer]) -> list[SatOut]:
    """The windows and advice that bind a stage: those of coats that are laid, and not sanded or covered since.

    A window binds only the stage that does just what it opens: whoever sands a coat is not bound by its recoat window.
    """
    return windows_among(asked_of(stage, stages), stage, stages)


def windows_among(asked: Iterable[SatOut], stage: Layer, stages: Sequence[Layer]) -> list[SatOut]:
    """The same of what a stage asks, which is known already."""
    bound = [each for each in asked if each.wait.opens is stage.touch and each.shuts_at is not None]
    return [each for each in bound if not _is_worked_since(each, stage, stages)]


def _is_worked_since(asked: SatOut, stage: Layer, stages: Sequence[Layer]) -> bool:
    """Whether the coat was sanded or covered since it was laid, or will be by a stage that stands before this one."""
    place = {other.id: at for at, other in enumerate(stages)}
    between = range(place[asked.layer.id] + 1, place[stage.id])
    return any(
        other.renews and other.is_on(asked.wait.panel) and _is_since(other, asked.layer, place[other.id] in between)
        for other in stages
        if other.id not in {asked.layer.id, stage.id}
    )


def _is_since(other: Layer, laid: Layer, is_between: bool) -> bool:
    """Whether a stage was done after a coat was laid, or is to come between it and the one that asks."""
    if other.finished_at is None:
        return is_between
    return laid.finished_at is not None and other.finished_at > laid.finished_at


@dataclass(frozen=True, slots=True)
class PassedWindow:
    """A stage whose coat may not go on any more as it is: the stage coded `adds` comes first, for `layer_id`'s coat."""

    stage_id: int
    layer_id: int
    adds: str


def longest(waits: Iterable[CoatWait]) -> CoatWait | None:
    """The longest of them that is not sat out inside its stage: what a stage's line says of the time after it."""
    return max((each for each in waits if not each.is_inside), key=lambda each: each.not_before_minutes, default=None)
