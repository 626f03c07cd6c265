"""Turns the waits that a kind of stage names into rows of the coats that it lays, at the day's air."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from shopbook.trade.catalogue.entries import Catalogue, KnownWait
from shopbook.trade.catalogue.kinds import Substrate
from shopbook.trade.coating.paints import Finish
from shopbook.trade.coating.weather import water_flash
from shopbook.trade.floor import waits
from shopbook.trade.floor.coat_waits import WHOLE_CAR, CoatWait, Layer, Touch
from shopbook.trade.letters import upper_first
from shopbook.trade.planning.shapes import Coat, Conditions, DraftPlan
from shopbook.trade.planning.work import DraftBasis, PanelWork

OTHER = "other"
"""What a stage puts on that is no coat of paint: adhesive, sealer, whatever the shop lets dry after it."""

ROWS: dict[str, tuple[str, Touch]] = {
    "filler_sand": (Coat.FILLER, Touch.SAND),
    "etch_flash": ("etch", Touch.COAT),
    "epoxy_flash": ("epoxy", Touch.COAT),
    "epoxy_overnight": ("epoxy", Touch.SAND),
    "promoter_flash": ("promoter", Touch.COAT),
    "surfacer_dry": (Coat.PRIMER, Touch.SAND),
    "surfacer_overnight": (Coat.PRIMER, Touch.SAND),
    "sealer_flash": (Coat.PRIMER, Touch.COAT),
    "base_flash": (Coat.BASE, Touch.COAT),
    "base_flash_water": (Coat.BASE, Touch.COAT),
    "base_sand": (Coat.BASE, Touch.SAND),
    "clear_unmask": (Coat.CLEAR, Touch.HANDLE),
    "clear_between": (Coat.CLEAR, Touch.COAT),
    "clear_fit": (Coat.CLEAR, Touch.FIT),
    "clear_matt_fit": (Coat.CLEAR, Touch.FIT),
    "clear_sand": (Coat.CLEAR, Touch.SAND),
}
"""The coat that each wait of the catalogue belongs to, and what it opens. Any other lets the stage's last coat be
sanded."""

COUNTED_FROM_UNMASKING = {
    "clear_sand": "clear_polish",
    "clear_fit": "clear_refit",
    "clear_matt_fit": "clear_matt_cure",
}
"""The waits that a book of before has in place of these; they began when the car was unmasked."""

HEATED_BY_BOOTH = waits.WaitKind.CURE


@dataclass(frozen=True, slots=True)
class Laid:
    """What one stage lays and lets dry: its panels, its coats in order, the waits after it and those sat out in it."""

    panels: Sequence[PanelWork]
    coats: Sequence[str]
    after: Sequence[str]
    inside: Sequence[str]


def coat_waits(setting: DraftBasis, laid: Laid) -> tuple[CoatWait, ...]:
    """The waits of every coat of a stage, panel by panel; those of no panel stand for the whole car.

    Of two for the same thing the longer counts.
    """
    found = (
        *_rows(setting, laid, laid.inside, is_inside=True),
        *_rows(setting, laid, laid.after, is_inside=False),
    )
    rows: dict[tuple[str, str, Touch, bool], CoatWait] = {}
    for each in found:
        key = (each.panel, each.coat, each.opens, each.is_inside)
        if key not in rows or each.not_before_minutes > rows[key].not_before_minutes:
            rows[key] = each
    return tuple(rows.values())


def clear_waits(setting: DraftBasis) -> tuple[str, ...]:
    """What fresh clear waits for, from its last coat: the tape, the trim, the polish; matt is never polished."""
    if setting.car.finish is Finish.MATT:
        return ("clear_matt_fit",)
    return ("clear_fit", "clear_sand")


THICK_COATS = 3


def surfacer_wait(coats: int, *, is_filled: bool) -> tuple[str | None, list[str]]:
    """The wait of surfacer in place of its kind's, and what is offered in words.

    Thicker than three coats it is left overnight; over filler of the same day the night is offered, not set. Common
    practice, 85 % sure.
    """
    if coats > THICK_COATS:
        return "surfacer_overnight", []
    return None, ["{primer} over filler of the same day sinks less when it is left overnight"] if is_filled else []


def _rows(setting: DraftBasis, laid: Laid, codes: Iterable[str], *, is_inside: bool) -> Iterator[CoatWait]:
    for code in codes:
        wait = draft_wait(setting, code, laid.panels)
        if wait is not None:
            coat, opens = ROWS.get(code, (laid.coats[-1] if laid.coats else OTHER, Touch.SAND))
            for panel in _panels_under(code, laid.panels):
                yield replace(wait, panel=panel, coat=str(coat), opens=opens, is_inside=is_inside)


def _panels_under(code: str, panels: Sequence[PanelWork]) -> list[str]:
    """The panels that get the coat: etch and epoxy on metal, promoter on plastic, all the rest everywhere."""
    if code not in {"etch_flash", "epoxy_flash", "promoter_flash"}:
        return [panel.code for panel in panels] or [WHOLE_CAR]
    wants_plastic = code == "promoter_flash"
    return [panel.code for panel in panels if (panel.substrate is Substrate.PLASTIC) is wants_plastic]


def draft_wait(setting: DraftBasis, code: str, panels: Sequence[PanelWork]) -> CoatWait | None:
    """The wait coded `code` at the day's temperature, under the lamp where the shop has one and no plastic is near."""
    kind = known_wait(setting.catalogue, code)
    if kind is None:
        return None
    conditions = setting.conditions
    may_heat = kind.lamp_minutes is not None and all(panel.substrate is not Substrate.PLASTIC for panel in panels)
    is_heated = may_heat and _has_heat(conditions, kind)
    plain = waits.Wait(kind.kind, kind.minutes, kind.not_after_minutes, kind.lamp_minutes)
    length = waits.wait_minutes(plain, conditions.temperature_c, is_heated=is_heated)
    if kind.follows_humidity and not is_heated:
        length = water_flash(kind.minutes, conditions.temperature_c, conditions.humidity)
    heated = waits.wait_minutes(plain, conditions.temperature_c, is_heated=True).minutes if may_heat else None
    told = f"{length.minutes} min with a lamp or bake." if is_heated else length.reason
    return CoatWait(
        panel=WHOLE_CAR,
        coat=OTHER,
        opens=Touch.SAND,
        kind=kind.kind.value,
        not_before_minutes=length.minutes,
        not_after_minutes=waits.window_minutes(plain, length.minutes, conditions.temperature_c),
        adds=kind.adds,
        reason=f"{upper_first(kind.reason)}. {told}",
        is_under_lamp=is_heated,
        with_lamp_minutes=heated,
        is_kept_over_closed_days=kind.is_kept_over_closed_days,
        needs_heat=length.needs_heat,
    )


def known_wait(catalogue: Catalogue, code: str) -> KnownWait | None:
    """A wait of the shop's. One that it set itself while such waits began at unmasking holds on, from the clear: its
    own minutes and those until the tape came off, until it sets the new one."""
    known = catalogue.waits.get(code)
    before = catalogue.waits.get(COUNTED_FROM_UNMASKING.get(code, ""))
    if known is None or before is None or known.is_own or not before.is_own:
        return known
    tape = catalogue.waits["clear_unmask"]
    lamp = None if before.lamp_minutes is None else before.lamp_minutes + (tape.lamp_minutes or tape.minutes)
    return replace(known, minutes=max(known.minutes, before.minutes + tape.minutes), lamp_minutes=lamp)


def _has_heat(conditions: Conditions, kind: KnownWait) -> bool:
    """A lamp for any wait, a booth that bakes for the last one."""
    return conditions.has_lamp or (conditions.has_booth and kind.kind is HEATED_BY_BOOTH)


def session_flash(setting: DraftBasis) -> int:
    """Elapsed minutes of the flashes in one session of base and clear, during which the painter has his hands free.

    They are no man-hours, and part of a promise: 40 min at 20 °C, common practice.
    """
    whole = round(setting.number("session_flash_minutes"))
    return waits.scaled_minutes(whole, setting.conditions.temperature_c).minutes


def draft_layers(draft: DraftPlan) -> list[Layer]:
    """What of a draft bears on its coats; a stage's id is its place."""
    return [Layer(place, each.code, each.panels, each.waits) for place, each in enumerate(draft.stages)]
