"""How each damage is repaired: pushed out, pulled and filled, ground out, mended in plastic, or polished, and why."""

from collections.abc import Iterable
from dataclasses import dataclass

from shopbook.trade.catalogue.entries import Catalogue, Panel
from shopbook.trade.catalogue.kinds import Access, Substrate
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.planning.areas import Areas, access_of, areas_of, depth_mm, left_after_pulling_mm, size_mm
from shopbook.trade.planning.choosing import KEEPS_PAINT as KEEPS_PAINT
from shopbook.trade.planning.choosing import LAYS_BARE as LAYS_BARE
from shopbook.trade.planning.choosing import Choice, needs_paint
from shopbook.trade.planning.choosing import Method as Method
from shopbook.trade.planning.shapes import Crossing, DamageKind, DepthStep, DraftDamage, DraftWarning, PaintChoice
from shopbook.trade.planning.surfaces import choose_chips, choose_dieback, choose_mark, mark_minutes


@dataclass(frozen=True, slots=True)
class DamageWork:
    """One damage with its method, areas, what is left to fill in mm (zero: no filler), and the reasons."""

    damage: DraftDamage
    method: Method
    areas: Areas
    fill_mm: float
    is_pulled: bool
    reasons: tuple[str, ...]
    warnings: tuple[DraftWarning, ...]
    factors: frozenset[str]
    own: tuple[tuple[str, int], ...] = ()
    """Stages whose man-minutes for this damage are its own, whatever its area."""


def reasons_of(works: Iterable[DamageWork]) -> list[str]:
    """Why they are mended in their ways."""
    return [reason for work in works for reason in work.reasons]


def substrate_of(panel: Panel, damage: DraftDamage) -> Substrate:
    """What to plan for: as said; unknown counts as plastic where the panel usually is, else as aluminium (slower)."""
    if damage.substrate is not Substrate.UNKNOWN:
        return damage.substrate
    return Substrate.PLASTIC if panel.substrate is Substrate.PLASTIC else Substrate.ALUMINIUM


def plan_damage(catalogue: Catalogue, panel: Panel, damage: DraftDamage, *, is_panel_painted: bool) -> DamageWork:
    """The method for one damage; `is_panel_painted` where another damage has the panel painted anyway."""
    substrate = substrate_of(panel, damage)
    method, reasons, warnings = _choose(catalogue, panel, damage, substrate)
    if is_panel_painted and method in {Method.POLISH, Method.CURE_POLISH, Method.TOUCH_IN}:
        method = Method.SAND_IN
        reasons = ["the panel is painted anyway, so the mark is sanded and painted over"]
    is_pulled = method is Method.PULL or (method is Method.STRIP_OLD and _wants_pulling(damage, substrate))
    fill, why = _fill_mm(catalogue, panel, damage, method)
    if damage.substrate is Substrate.UNKNOWN:
        warnings.append(_unknown_warning(damage, substrate))
    return DamageWork(
        damage,
        method,
        areas_of(catalogue, panel, damage),
        fill,
        is_pulled,
        (*reasons, *why),
        tuple(warnings),
        _factors(catalogue, panel, damage, substrate),
        (*mark_minutes(catalogue, damage), *crease_minutes(catalogue, damage)),
    )


def keeps_paint(catalogue: Catalogue, panel: Panel, damage: DraftDamage) -> bool:
    """Whether this damage alone leaves its panel unpainted."""
    return _choose(catalogue, panel, damage, substrate_of(panel, damage))[0] in KEEPS_PAINT


def push_obstacle(catalogue: Catalogue, panel: Panel, damage: DraftDamage, substrate: Substrate) -> str | None:
    """Why a dent cannot be pushed out with its paint kept; None where nothing speaks against it."""
    is_single = damage.kind is not DamageKind.SMALL_DENTS
    checks = (
        (substrate is Substrate.PLASTIC, "plastic does not come back the way metal does"),
        (not damage.is_paint_sound and damage.paint is not PaintChoice.NO_PAINT, "the paint is not sound"),
        (bool(damage.crosses & {Crossing.EDGE, Crossing.LIP}) and is_single, "it runs to an edge or a lip"),
        (has_old_filler(catalogue, damage), "there is filler under the paint"),
        (is_single and depth_mm(catalogue, damage) > catalogue.numbers["paintless_deep_mm"].value, "it is too deep"),
        (
            is_single and max(size_mm(catalogue, damage)) > catalogue.numbers["paintless_most_mm"].value,
            "it is too large",
        ),
        (is_single and access_of(panel, damage) is Access.NONE, "no tool reaches the back of it"),
    )
    return next((reason for speaks_against, reason in checks if speaks_against), None)


def _choose(catalogue: Catalogue, panel: Panel, damage: DraftDamage, substrate: Substrate) -> Choice:
    if damage.kind in {DamageKind.DENT, DamageKind.CREASE, DamageKind.SMALL_DENTS}:
        return _choose_dent(catalogue, panel, damage, substrate)
    if damage.kind in {DamageKind.SCRATCH, DamageKind.SCUFF}:
        return choose_mark(catalogue, damage, substrate)
    if damage.kind is DamageKind.CHIP:
        return choose_chips(catalogue, damage, substrate)
    if damage.kind is DamageKind.DIEBACK:
        return choose_dieback(damage, substrate)
    warnings = [needs_paint(damage, "it cannot be repaired under the paint that is there")]
    return _PLAIN[damage.kind](substrate, warnings if damage.paint is PaintChoice.NO_PAINT else [], damage)


def _choose_dent(catalogue: Catalogue, panel: Panel, damage: DraftDamage, substrate: Substrate) -> Choice:
    obstacle = push_obstacle(catalogue, panel, damage, substrate)
    if damage.paint is PaintChoice.NO_PAINT and obstacle is None:
        return Method.PUSH, ["the paint is sound and the dent allows it: push it out and keep the paint"], []
    warnings = [needs_paint(damage, obstacle)] if damage.paint is PaintChoice.NO_PAINT and obstacle else []
    if obstacle is None and damage.is_paint_sound:
        warnings.append(
            DraftWarning(
                "could_be_pushed",
                f"Damage {damage.number}: the paint is sound. It might push out without painting.",
            )
        )
    if substrate is Substrate.PLASTIC:
        return Method.MEND_PLASTIC, ["warm the plastic, press it back, then repair it"], warnings
    if has_old_filler(catalogue, damage):
        return Method.STRIP_OLD, [_old_filler_reason(damage)], [*warnings, _hidden(damage)]
    return Method.PULL, ["pull the metal first, fill only what is left"], warnings


def _crack(substrate: Substrate, warnings: list[DraftWarning], damage: DraftDamage) -> Choice:
    if substrate is Substrate.PLASTIC:
        return Method.MEND_PLASTIC, ["stop the crack, bevel it, back it and bond it"], warnings
    torn = DraftWarning(
        "torn_metal",
        f"Damage {damage.number}: torn metal has to be welded by someone qualified before it is filled. "
        "Book that, or replace the panel.",
    )
    return Method.PULL, ["close the tear first, then pull it level"], [*warnings, torn]


def _rust(substrate: Substrate, warnings: list[DraftWarning], damage: DraftDamage) -> Choice:
    through = DraftWarning(
        "rust_behind",
        f"Damage {damage.number}: rust is larger behind than in front. Look from the back: holes and structural "
        "parts need new metal by someone qualified, not filler.",
    )
    return Method.GRIND, ["grind the rust to bright metal: nothing sticks to what is left"], [*warnings, through]


def _bad_repair(substrate: Substrate, warnings: list[DraftWarning], damage: DraftDamage) -> Choice:
    if substrate is Substrate.PLASTIC:
        return Method.MEND_PLASTIC, ["sand the old repair off, to sound plastic"], warnings
    return (
        Method.STRIP_OLD,
        ["strip the old repair to sound paint or metal, or it fails again"],
        [*warnings, _hidden(damage)],
    )


def _faded(substrate: Substrate, warnings: list[DraftWarning], damage: DraftDamage) -> Choice:
    return Method.SAND_CLEAR, ["failed {clear} comes off the whole panel, since its edge keeps lifting"], warnings


_PLAIN = {
    DamageKind.CRACK: _crack,
    DamageKind.RUST: _rust,
    DamageKind.BAD_REPAIR: _bad_repair,
    DamageKind.FADED_CLEAR: _faded,
}


def has_old_filler(catalogue: Catalogue, damage: DraftDamage) -> bool:
    """Whether filler lies under the paint: it is known of, or the gauge read more than paint alone is thick."""
    return damage.was_filled or damage.film_um > catalogue.numbers["filler_film_um"].value


def _old_filler_reason(damage: DraftDamage) -> str:
    seen = f"the gauge read {damage.film_um:,} µm" if damage.film_um else "there is earlier filler"
    return f"{seen}: the old filler comes off first, since studs do not pull through filler"


def _hidden(damage: DraftDamage) -> DraftWarning:
    return DraftWarning(
        "hidden_depth",
        f"Damage {damage.number}: what is under the old repair is not known until it is stripped. "
        "Agree an estimate up to a limit, not a fixed price, and offer what is found as an extra.",
    )


def crease_minutes(catalogue: Catalogue, damage: DraftDamage) -> tuple[tuple[str, int], ...]:
    """The own hours of a crease over a body line, by its length: 25 cm is pulled in 105 minutes and filled in 75."""
    if damage.kind is not DamageKind.CREASE or Crossing.LINE not in damage.crosses:
        return ()
    metres = size_mm(catalogue, damage)[0] / 1000
    value = {name: catalogue.numbers[f"crease_{name}"].value for name in _CREASE}
    pull = round(value["pull_minutes"] + value["pull_minutes_m"] * metres)
    return (
        (StageCode.PULL, pull),
        (StageCode.FILL, round(value["fill_minutes"] + value["fill_minutes_m"] * metres)),
    )


_CREASE = ("pull_minutes", "pull_minutes_m", "fill_minutes", "fill_minutes_m")


def _wants_pulling(damage: DraftDamage, substrate: Substrate) -> bool:
    if damage.kind in {DamageKind.DENT, DamageKind.CREASE}:
        return substrate is not Substrate.PLASTIC
    return substrate is not Substrate.PLASTIC and (damage.depth is not DepthStep.SHALLOW or damage.depth_um is not None)


def _left_numbers(catalogue: Catalogue) -> dict[str, float]:
    """What each method leaves to fill, in mm."""
    return {name: number.value for name, number in catalogue.numbers.items() if name.startswith("left_")}


def _fill_mm(catalogue: Catalogue, panel: Panel, damage: DraftDamage, method: Method) -> tuple[float, list[str]]:
    value = _left_numbers(catalogue)
    if method is Method.PULL:
        left = left_after_pulling_mm(catalogue, panel, damage)
        return left, [f"about {left:g} mm left to fill of {depth_mm(catalogue, damage):g} mm"]
    if method is Method.STRIP_OLD:
        left = max(value["left_old_repair_mm"], left_after_pulling_mm(catalogue, panel, damage))
        return left, [f"about {left:g} mm to fill, until it is stripped and measured"]
    if method is Method.GRIND:
        return value["left_rust_mm"], [f"about {value['left_rust_mm']:g} mm to fill where the pits were"]
    is_felt = damage.depth is not DepthStep.SHALLOW or damage.kind in {DamageKind.CRACK, DamageKind.DENT}
    if method is Method.MEND_PLASTIC and is_felt:
        return value["left_plastic_mm"], [f"a skim of about {value['left_plastic_mm']:g} mm of filler for plastic"]
    if method is Method.SAND and damage.depth is DepthStep.DEEP:
        return value["left_scratch_mm"], [f"a skim of about {value['left_scratch_mm']:g} mm where it cut the metal"]
    return 0.0, []


def _factors(catalogue: Catalogue, panel: Panel, damage: DraftDamage, substrate: Substrate) -> frozenset[str]:
    deep = depth_mm(catalogue, damage)
    found = {
        "alloy": substrate is Substrate.ALUMINIUM,
        "dent_alloy": substrate is Substrate.ALUMINIUM,
        "crease": damage.kind is DamageKind.CREASE and Crossing.LINE not in damage.crosses,
        "line": Crossing.LINE in damage.crosses,
        "edge": bool(damage.crosses & {Crossing.EDGE, Crossing.LIP}),
        "dent_line": bool(damage.crosses),
        "poor_access": access_of(panel, damage) is not Access.GOOD,
        "dent_access": access_of(panel, damage) is not Access.GOOD,
        "deep": deep > catalogue.numbers["depth_finger_mm"].value,
        "finger": catalogue.numbers["depth_shallow_mm"].value < deep <= catalogue.numbers["depth_finger_mm"].value,
    }
    return frozenset(code for code, is_there in found.items() if is_there)


def _unknown_warning(damage: DraftDamage, substrate: Substrate) -> DraftWarning:
    planned = "plastic, as this panel usually is" if substrate is Substrate.PLASTIC else "{aluminium}, which is slower"
    return DraftWarning(
        "substrate_unknown",
        f"Damage {damage.number}: the material of the panel is not entered. It is planned as {planned}. "
        "Hold a magnet to it and correct it.",
    )
