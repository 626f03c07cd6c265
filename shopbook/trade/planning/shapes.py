"""What a plan is drafted from (damages, car, day) and what comes out: stages, uses, waits, mixes, warnings."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from shopbook.trade.catalogue.kinds import Access as Access
from shopbook.trade.catalogue.kinds import Skill as Skill
from shopbook.trade.catalogue.kinds import Substrate as Substrate
from shopbook.trade.catalogue.kinds import Unit as Unit
from shopbook.trade.catalogue.kinds import WayUsed as WayUsed
from shopbook.trade.coating.paints import Finish as Finish
from shopbook.trade.coating.product_ranges import ProductRange
from shopbook.trade.floor.coat_waits import WHOLE_CAR, CoatWait, longest
from shopbook.trade.planning.asked import ClearStop as ClearStop
from shopbook.trade.planning.asked import Plastic as Plastic
from shopbook.trade.planning.asked import Reach as Reach


class DamageKind(StrEnum):
    """What has happened at one place of one panel."""

    DENT = "dent"
    CREASE = "crease"
    SCRATCH = "scratch"
    CHIP = "chip"
    CRACK = "crack"
    RUST = "rust"
    FADED_CLEAR = "faded_clear"
    BAD_REPAIR = "bad_repair"
    SMALL_DENTS = "small_dents"
    SCUFF = "scuff"
    DIEBACK = "dieback"
    """Newer paint that lost its gloss, sank, or shows the edges of the repair under it."""


class SizeStep(StrEnum):
    """A coin, a palm, or larger than a palm."""

    S = "S"
    M = "M"
    L = "L"


class DepthStep(StrEnum):
    """How deep by feel: hardly, a finger, or more than a finger."""

    SHALLOW = "shallow"
    FINGER = "finger"
    DEEP = "deep"


class Crossing(StrEnum):
    """What of the panel's shape the damage runs over."""

    LINE = "line"
    EDGE = "edge"
    LIP = "lip"


class PaintChoice(StrEnum):
    """Whether the panel is painted, and whether colour fades out into the next panels."""

    NO_PAINT = "no_paint"
    PAINT = "paint"
    BLEND = "blend"


class Coat(StrEnum):
    """What lies on a panel, from the inside out; `old` is the paint that was there."""

    METAL = "metal"
    PLASTIC = "plastic"
    OLD = "old"
    FILLER = "filler"
    PRIMER = "primer"
    BASE = "base"
    CLEAR = "clear"


@dataclass(frozen=True, slots=True)
class DraftDamage:
    """One damage on one panel. Measurements may be left out: the size and depth steps then stand in for them."""

    number: int
    panel: str
    kind: DamageKind
    size: SizeStep = SizeStep.M
    length_mm: int | None = None
    width_mm: int | None = None
    depth: DepthStep = DepthStep.SHALLOW
    depth_um: int | None = None
    dent_count: int = 0
    dent_class_mm: int = 0
    crosses: frozenset[Crossing] = frozenset()
    access: Access | None = None
    substrate: Substrate = Substrate.UNKNOWN
    is_paint_sound: bool = False
    paint: PaintChoice = PaintChoice.PAINT
    reach: Reach = Reach.UNKNOWN
    chip_count: int = 0
    """Stone chips counted; zero: not counted."""
    plastic: Plastic = Plastic.UNKNOWN
    film_um: int = 0
    """The thickest reading of the gauge on its panel; zero: not measured."""
    was_filled: bool = False
    """Earlier filler is known of: it was said, or a job of our own laid it."""
    is_epoxy_first: bool = False
    """Ground rust is sealed with epoxy overnight before it is filled."""
    clear_stop: ClearStop = ClearStop.NOT_ASKED
    blend_into: frozenset[str] = frozenset()
    """The touching panels that the colour fades out into; empty: as the panel's entry says."""


@dataclass(frozen=True, slots=True)
class Car:
    """What about the whole car matters to the plan. `hue` is a word or two ("weak yellow"), used for hiding only."""

    finish: Finish = Finish.METALLIC
    hue: str = ""
    is_silicone_suspected: bool = False
    is_high_voltage: bool = False
    has_driver_aids: bool = False
    is_finish_known: bool = True
    """False: nobody entered it, and the plan is drafted as for a metallic, the careful way."""
    earlier: tuple[str, ...] = ()
    """What an earlier job of the shop put on each panel, as finished sentences."""


@dataclass(frozen=True, slots=True)
class Conditions:
    """The day in the shop: air in °C, relative humidity in percent, what it can heat with, what its products allow."""

    temperature_c: float = 20.0
    humidity: float = 50.0
    has_lamp: bool = False
    has_booth: bool = False
    ranges: tuple[ProductRange, ...] = ()
    """In what air the products on the shelf may be worked, where their sheets were typed."""


@dataclass(frozen=True, slots=True)
class Choices:
    """What the person drafting chose instead of the shop's habit; None keeps the habit."""

    base_coats: int | None = None
    clear_coats: int | None = None
    surfacer_coats: int | None = None
    is_blended: bool | None = None
    is_surfacer_for_build: bool = False
    left_out: frozenset[str] = frozenset()
    """Codes of stages the shop leaves out on this job."""


@dataclass(frozen=True, slots=True)
class DraftUse:
    """One material of one stage; `shares` are thousandths by panel and sum to the amount exactly."""

    role: str
    amount_thousandths: int
    unit: Unit
    way: WayUsed
    mix: str | None
    shares: tuple[tuple[str, int], ...]
    reason: str


@dataclass(frozen=True, slots=True)
class DraftMix:
    """One mix of one stage: total ready-to-spray ml, its parts by role in thousandths of ml (exact sum).

    `batches` is how many mixes the pot life makes of it; `thumb_ml` the rule of thumb to show beside it.
    """

    code: str
    name: str
    total_ml: int
    parts_thousandths: tuple[tuple[str, int], ...]
    ratio: str
    batches: int
    coats: int
    panels: tuple[str, ...]
    thumb_ml: tuple[int, int] | None
    pot_life_minutes: int | None
    reason: str
    laid: tuple[str, ...] = ()
    """The coats one by one, in words."""
    gun: tuple[str, ...] = ()
    """The usual set-up of the gun, in words; a drop coat's comes after the mix's own."""
    cups_ml: tuple[int, ...] = ()
    """Each of several mixes in ml, in the order they are made; they sum to the whole. Empty for one mix."""
    cup_minutes: tuple[int, ...] = ()
    """Minutes of each mix from its first pass to its last, its flashes between included; empty without a pot life."""
    area_cm2: int = 0
    """What it covers."""
    need_thousandths: int = 0
    """Thousandths of ml of its plain coats, without what stays in cup and gun and without a thin first coat."""


@dataclass(frozen=True, slots=True)
class DraftStage:
    """One press of one skill: `minutes_by_panel` sums to `minutes`; `after` are places in the draft's own order.

    `waits` are those of the coats that it lays; `flash_minutes` pass within it without anybody's hands.
    """

    code: str
    name: str
    panels: tuple[str, ...]
    damages: tuple[int, ...]
    skill: Skill
    minutes: int
    minutes_by_panel: tuple[tuple[str, int], ...]
    uses: tuple[DraftUse, ...] = ()
    mixes: tuple[DraftMix, ...] = ()
    after: tuple[int, ...] = ()
    waits: tuple[CoatWait, ...] = ()
    flash_minutes: int = 0
    cautions: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()
    lays: tuple[tuple[str, Coat], ...] = ()

    @property
    def wait(self) -> CoatWait | None:
        """The longest wait after it."""
        return longest(self.waits)

    @property
    def waits_inside(self) -> tuple[CoatWait, ...]:
        """The waits that are sat out within it, once each whatever the panels."""
        inside = [replace(each, panel=WHOLE_CAR) for each in self.waits if each.is_inside]
        return tuple(dict.fromkeys(inside))


@dataclass(frozen=True, slots=True)
class DraftWarning:
    """What a painter would warn of, as a finished sentence; `stage` is its place in the draft, None for the whole.

    `has_name` where a product's own name stands in it.
    """

    code: str
    sentence: str
    stage: int | None = None
    has_name: bool = False


@dataclass(frozen=True, slots=True)
class DraftPlan:
    """A whole plan before anybody has touched it."""

    stages: tuple[DraftStage, ...]
    warnings: tuple[DraftWarning, ...]
    shared: tuple[str, ...]
    """Sentences that say what two damages or two panels share."""

    @property
    def minutes(self) -> int:
        """Man-minutes of all stages."""
        return sum(stage.minutes for stage in self.stages)

    @property
    def minutes_by_skill(self) -> Mapping[Skill, int]:
        """Man-minutes by skill, every skill present."""
        return {skill: sum(s.minutes for s in self.stages if s.skill is skill) for skill in Skill}

    @property
    def minutes_by_panel(self) -> Mapping[str, int]:
        """Man-minutes by panel; "" gathers what belongs to the whole car."""
        found: dict[str, int] = {}
        for stage in self.stages:
            for panel, minutes in stage.minutes_by_panel:
                found[panel] = found.get(panel, 0) + minutes
        return found
