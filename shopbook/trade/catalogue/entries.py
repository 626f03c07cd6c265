"""The kinds of entry a catalogue holds, as frozen values; every entry says how sure we are and where it comes from."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from shopbook.trade.catalogue.kinds import Access, Fixing, MeasuredBy, Skill, Substrate, Unit, WayUsed
from shopbook.trade.coating.abrasives import Form
from shopbook.trade.floor.waits import WaitKind
from shopbook.trade.letters import say_in

OWN_SOURCE = "the shop's own"
"""How the source of an entry begins that the shop set."""


class EntryKind(StrEnum):
    """The kinds of row; the value is the table's name in catalogue.toml and the `kind` of a stored row."""

    PANEL = "panel"
    STAGE = "stage"
    CAUTION = "caution"
    WAIT = "wait"
    MATERIAL = "material"
    MIX = "mix"
    PRICE = "price"
    SMALL_DENT = "small_dent"
    FACTOR = "factor"
    GUN = "gun"
    NUMBER = "number"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What every entry carries: its code, how sure in percent, and its source."""

    code: str
    sure: int = field(default=60, metadata={"least": 0, "most": 100})
    source: str = "common practice"

    @property
    def is_own(self) -> bool:
        """True where these are the shop's own figures and not a guess of ours."""
        return self.source.startswith(OWN_SOURCE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel(Entry):
    """One panel: nominal painted area in m², how fixed, what it is made of, skin in µm, trim off and on (minutes).

    `neighbours` is where colour is blended to; `access` whether a tool reaches behind once trim is off;
    `ding_permille` weighs the price of small dents; `is_flat` marks large flat panels; `carries` names what sits in
    or behind it that asks for care ("lamp", "sensor", "airbag", "handle").
    """

    area_m2: float = field(metadata={"least": 0.01, "most": 10})
    fixing: Fixing
    substrate: Substrate
    skin_um: int = field(metadata={"least": 100, "most": 20000})
    access: Access
    trim_off_minutes: int = field(metadata={"least": 0, "most": 1000})
    trim_on_minutes: int = field(metadata={"least": 0, "most": 1000})
    fit_minutes: int = field(default=0, metadata={"least": 0, "most": 10000})
    ding_permille: int = field(default=1000, metadata={"least": 100, "most": 10000})
    neighbours: tuple[str, ...] = ()
    is_flat: bool = False
    carries: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StageKind(Entry):
    """One kind of stage, with its standard man-minutes at one pair of hands.

    Fixed once a stage; then for each panel: panel_minutes, damage_minutes for each damage on it, and minutes_per_m2 of
    the area that `measured_by` names, times the factors that apply. `next_panel_permille` is what every panel after
    the first counts of its own. `wait` follows the stage, `waits_inside` are sat out within it (codes of waits).
    `uses` are amounts of materials for each panel, `grits` the P grades in the order they
    are used. `is_on` is off where the shop leaves this stage out. `cautions` are codes, `own_cautions` lines of the
    shop's own beside them.
    """

    order: int = field(metadata={"least": 1, "most": 999})
    name: str
    skill: Skill
    fixed_minutes: int = field(default=0, metadata={"least": 0, "most": 10000})
    panel_minutes: int = field(default=0, metadata={"least": 0, "most": 10000})
    damage_minutes: int = field(default=0, metadata={"least": 0, "most": 10000})
    minutes_per_m2: float = field(default=0.0, metadata={"least": 0, "most": 10000})
    measured_by: MeasuredBy = MeasuredBy.NONE
    next_panel_permille: int = field(default=1000, metadata={"least": 0, "most": 1000})
    factors: tuple[str, ...] = ()
    why: str = ""
    """Why the trade does it at all, where the damage gives no reason of its own."""
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    own_cautions: tuple[str, ...] = ()
    gun_cleans: int = field(default=0, metadata={"least": 0, "most": 10})
    wait: str = ""
    waits_inside: tuple[str, ...] = ()
    uses: Mapping[str, float] = field(default_factory=dict)
    grits: tuple[int, ...] = ()
    is_on: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionKind(Entry):
    """One kind of danger in words; `is_stop` when unqualified people must leave the work alone."""

    title: str
    text: str
    is_stop: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownWait(Entry):
    """A drying time at 20 °C: not before, not after (None: no limit), what a missed window adds, under a lamp."""

    kind: WaitKind
    minutes: int = field(metadata={"least": 0, "most": 100000})
    not_after_minutes: int | None = field(default=None, metadata={"least": 1, "most": 1000000})
    adds: str = ""
    lamp_minutes: int | None = field(default=None, metadata={"least": 0, "most": 100000})
    is_kept_over_closed_days: bool = True
    follows_humidity: bool = False
    """A waterborne coat: damp air slows it more than cold."""
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownMaterial(Entry):
    """One kind of thing on the shelf. A pack holds whole thousandths of the unit; lives are days, None unknown."""

    name: str
    unit: Unit
    way: WayUsed
    pack_name: str
    pack_thousandths: int = field(metadata={"least": 1, "most": 10**12})
    density_mg_ml: int | None = field(default=None, metadata={"least": 300, "most": 5000})
    solids_permille: int | None = field(default=None, metadata={"least": 1, "most": 1000})
    shelf_days: int | None = field(default=None, metadata={"least": 1, "most": 10000})
    opened_days: int | None = field(default=None, metadata={"least": 1, "most": 10000})
    price_minor: int | None = field(default=None, metadata={"least": 0, "most": 10**13})
    order_when_quarters: int = field(default=1, metadata={"least": 0, "most": 400})
    is_bought_for_job: bool = False
    comes_as: Form = Form.DISC_150
    """What an abrasive comes as: a strip or a sheet lasts longer than a disc. Nothing to any other material."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MixKind(Entry):
    """One thing mixed to spray: ratio by volume in order, volume solids, dry film of all coats in µm, coats, pot life.

    `thumb_ml` is the rule of thumb (low, high) shown beside the computed figure, for each m² of panel, or for each
    repair where `is_thumb_by_repair`; `build_parts` is the ratio reduced less, where build is wanted.
    """

    name: str
    parts: Mapping[str, float]
    build_parts: Mapping[str, float] = field(default_factory=dict)
    solids_permille: int = field(metadata={"least": 1, "most": 1000})
    dry_um: int = field(metadata={"least": 1, "most": 1000})
    coats: int = field(metadata={"least": 1, "most": 6})
    coat_minutes: int = field(metadata={"least": 0, "most": 600})
    pot_life_minutes: int | None = field(default=None, metadata={"least": 1, "most": 100000})
    loss_ml: int = field(default=40, metadata={"least": 0, "most": 1000})
    step_ml: int = field(default=10, metadata={"least": 1, "most": 100})
    thumb_ml: tuple[int, ...] = ()
    is_thumb_by_repair: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelPrice(Entry):
    """Kerb prices of one panel in tenths of a door-rate hour: (no paint, paint, paint and blend) for S, M and L.

    `days` by the same three. `set_minor` holds what the shop typed instead, keyed "M.paint"; it wins.
    """

    small: tuple[int, ...]
    medium: tuple[int, ...]
    large: tuple[int, ...]
    days: tuple[int, ...]
    set_minor: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallDentPrice(Entry):
    """One size class of small dents (largest across, mm): (count up to, tenths of an hour) by rising bands."""

    up_to_mm: int = field(metadata={"least": 1, "most": 1000})
    bands: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor(Entry):
    """A multiplier in thousandths that works on `of_permille` of a stage's minutes, and the reason it is there."""

    permille: int = field(metadata={"least": 100, "most": 10000})
    of_permille: int = field(default=1000, metadata={"least": 0, "most": 1000})
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GunKind(Entry):
    """How a gun is set up for one mix, as ranges (low, high): tip mm, inlet bar, distance cm, overlap percent."""

    name: str
    tip_mm: tuple[float, ...]
    inlet_bar: tuple[float, ...]
    distance_cm: tuple[float, ...]
    overlap_percent: tuple[float, ...]
    fan: str = ""
    fluid: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Number(Entry):
    """One figure of the trade with its unit and what it is for."""

    value: float
    unit: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Catalogue:
    """All entries by kind and code; `version` names the file it was read from.

    `retired` are entries that new books no longer have: an old book still finds its words. `words` are its country's.
    """

    version: str
    panels: Mapping[str, Panel]
    stages: Mapping[str, StageKind]
    cautions: Mapping[str, CautionKind]
    waits: Mapping[str, KnownWait]
    materials: Mapping[str, KnownMaterial]
    mixes: Mapping[str, MixKind]
    prices: Mapping[str, PanelPrice]
    small_dents: Mapping[str, SmallDentPrice]
    factors: Mapping[str, Factor]
    guns: Mapping[str, GunKind]
    numbers: Mapping[str, Number]
    retired: Mapping[tuple[EntryKind, str], Entry] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)

    def say(self, sentence: str) -> str:
        """A sentence of ours about the work in the words of the catalogue's country: "one coat of {clear}"."""
        return say_in(self.words, sentence)
