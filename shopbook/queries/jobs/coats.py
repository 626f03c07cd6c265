"""Coats on the panel: what lies on each panel of a job now, read from its stages."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from shopbook.models.jobs import Damage, Stage
from shopbook.trade.car.damage import COAT_WORDS, LAID_WORDS, STATE_WORDS, WAITING_WORDS
from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.kinds import Substrate
from shopbook.trade.coating.coats import CoatState
from shopbook.trade.floor.coat_waits import WHOLE_CAR, longest
from shopbook.trade.planning.shapes import Coat, DamageKind

_ORDER = [coat.value for coat in Coat]
_GROUND = frozenset({Coat.METAL.value, Coat.PLASTIC.value, Coat.OLD.value})
_METAL_WORDS = {Substrate.STEEL.value: "steel", Substrate.ALUMINIUM.value: "{aluminium}"}


@dataclass(frozen=True, slots=True)
class PanelSign:
    """The sign for one panel from the metal up: laid, the one that waits or is being laid, still to come."""

    panel: str
    on: tuple[str, ...]
    waiting: str | None
    due: tuple[str, ...]
    hex: str | None = None
    notes: Mapping[str, str] = field(default_factory=dict)
    waits_until: datetime | None = None
    state: str = ""

    @property
    def coats(self) -> tuple[str, ...]:
        """All of it from the ground up, laid or still to come."""
        return (*self.on, *([self.waiting] if self.waiting else []), *self.due)


def job_coats(
    stages: Sequence[Stage],
    damages: Sequence[Damage],
    catalogue: Catalogue,
    now: datetime,
    hex_colour: str = "",
) -> list[PanelSign]:
    """The sign of every panel that a job's stages or damages are on, damaged panels first."""
    hurt = dict.fromkeys(damage.panel for damage in damages)
    worked = dict.fromkeys(panel for stage in stages for panel in stage.panel_names)
    return [
        _sign(panel, stages, [each for each in damages if each.panel == panel], catalogue, now, hex_colour or None)
        for panel in dict.fromkeys([*hurt, *worked])
    ]


def _sign(
    panel: str,
    stages: Sequence[Stage],
    damages: Sequence[Damage],
    catalogue: Catalogue,
    now: datetime,
    hex_colour: str | None,
) -> PanelSign:
    own = [stage for stage in stages if panel in stage.panel_names]
    states = _states(panel, own, now)
    coats = sorted(states, key=_ORDER.index)
    top = max((place for place, coat in enumerate(coats) if states[coat] is not CoatState.TO_COME), default=-1)
    laid = [*_ground(panel, own, damages, catalogue), *coats[: top + 1]]
    waiting = coats[top] if top >= 0 and states[coats[top]] is CoatState.WAITING else None
    sign = PanelSign(
        panel=panel,
        on=tuple(laid[:-1] if waiting else laid),
        waiting=waiting,
        due=tuple(coats[top + 1 :]),
        hex=hex_colour,
        notes=_ground_notes(panel, damages, catalogue),
        waits_until=_wait_ends(panel, own).get(waiting or ""),
    )
    return replace(sign, state=_state_of(sign, damages, is_in_hand=_is_in_hand(panel, own)))


def _states(panel: str, own: Sequence[Stage], now: datetime) -> dict[str, CoatState]:
    """How far each coat on a panel is, by the last of its stages that lays it."""
    last_begun = max((stage.position for stage in own if stage.begun_at is not None), default=0)
    return {
        coat: _state(stage, now, _dry_minutes(stage, panel, coat), is_worked_on=stage.position < last_begun)
        for stage in own
        for coat in _coats(stage, panel)
    }


def _wait_ends(panel: str, own: Sequence[Stage]) -> dict[str, datetime]:
    """When the drying time of each coat on a panel is over."""
    return {
        coat: stage.finished_at + timedelta(minutes=_dry_minutes(stage, panel, coat))
        for stage in own
        for coat in _coats(stage, panel)
        if stage.finished_at is not None and _dry_minutes(stage, panel, coat)
    }


def _is_in_hand(panel: str, own: Sequence[Stage]) -> bool:
    return any(stage.is_in_hand and _coats(stage, panel) for stage in own)


def _coats(stage: Stage, panel: str) -> list[str]:
    laid = [each.coats for each in stage.panels if each.panel == panel]
    return [coat for coat in ",".join(laid).split(",") if coat in _ORDER and coat not in _GROUND]


def _lays_bare(stage: Stage, panel: str) -> bool:
    """Whether the old paint is off once this stage is done: its coat on the panel is then the metal or the plastic."""
    bare = {Coat.METAL.value, Coat.PLASTIC.value}
    return any(bare & set(each.coats.split(",")) for each in stage.panels if each.panel == panel)


def _dry_minutes(stage: Stage, panel: str, coat: str) -> int:
    """Until a coat on a panel can be sanded, or laid over where it says nothing of sanding."""
    own = [each for each in stage.coat_waits if each.panel in {panel, WHOLE_CAR} and each.coat == coat]
    last = longest(own)
    return last.not_before_minutes if last else 0


def _state(stage: Stage, now: datetime, dry_minutes: int, *, is_worked_on: bool) -> CoatState:
    """A coat counts as dry once work went on over it, whatever its drying time says."""
    if stage.finished_at is None:
        return CoatState.WAITING if stage.begun_at is not None else CoatState.TO_COME
    is_over = is_worked_on or now >= stage.finished_at + timedelta(minutes=dry_minutes)
    return CoatState.LAID if is_over else CoatState.WAITING


def substrate_on(panel: str, damages: Sequence[Damage], catalogue: Catalogue) -> str:
    """What a panel is made of: as entered, else as such panels usually are."""
    said = next((each.substrate for each in damages if each.substrate != Substrate.UNKNOWN), None)
    usual = catalogue.panels.get(panel)
    return said or (usual.substrate.value if usual else Substrate.UNKNOWN.value)


def _ground(panel: str, own: Sequence[Stage], damages: Sequence[Damage], catalogue: Catalogue) -> list[str]:
    is_plastic = substrate_on(panel, damages, catalogue) == Substrate.PLASTIC
    ground = [Coat.PLASTIC.value if is_plastic else Coat.METAL.value]
    is_bare = any(stage.finished_at is not None and _lays_bare(stage, panel) for stage in own)
    return ground if is_bare else [*ground, Coat.OLD.value]


def _ground_notes(panel: str, damages: Sequence[Damage], catalogue: Catalogue) -> dict[str, str]:
    if damages and all(each.substrate == Substrate.UNKNOWN for each in damages):
        return {}
    substrate = substrate_on(panel, damages, catalogue)
    return {"metal": _METAL_WORDS[substrate]} if substrate in _METAL_WORDS else {}


def _state_of(sign: PanelSign, damages: Sequence[Damage], *, is_in_hand: bool) -> str:
    """A panel's state now in a word or two, to be said by country: "base flashing", "in primer", "dented", "blend"."""
    if sign.waiting is not None:
        coat = COAT_WORDS.get(sign.waiting, sign.waiting)
        return f"{coat} in progress" if is_in_hand else WAITING_WORDS.get(sign.waiting, f"{coat} drying")
    top = sign.on[-1] if sign.on else ""
    if top in LAID_WORDS:
        return LAID_WORDS[top]
    if top != Coat.OLD and damages:
        return "bare"
    if not damages:
        return "blend"
    count = sum(damage.dent_count for damage in damages)
    return f"{count} small dents" if count else STATE_WORDS[DamageKind(damages[0].kind)]
