"""The list price for the damage on one panel, or why the plan prices it: one answer for every way in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shopbook.trade.catalogue.entries import Catalogue
from shopbook.trade.catalogue.kinds import Substrate
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away
from shopbook.trade.planning.kerb import KerbAnswer, KerbPrice, kerb_price
from shopbook.trade.planning.shapes import DamageKind, DepthStep, DraftDamage, PaintChoice
from shopbook.trade.planning.small_dents import class_of
from shopbook.trade.planning.surfaces import chip_minutes
from shopbook.trade.pricing.lines import has_own_hour
from shopbook.trade.pricing.listed import price_from_hours

_KIND_WORDS = {
    DamageKind.CREASE: "a crease",
    DamageKind.SCRATCH: "a scratch",
    DamageKind.CHIP: "a chip",
    DamageKind.CRACK: "a crack",
    DamageKind.RUST: "rust",
    DamageKind.FADED_CLEAR: "faded {clear}",
    DamageKind.BAD_REPAIR: "a bad repair",
    DamageKind.DIEBACK: "dieback",
}
LISTED_KINDS = frozenset({DamageKind.DENT, DamageKind.SCUFF, DamageKind.SMALL_DENTS})
"""What the list has a row or a band for: what is tapped at the kerb, whichever way the car came in."""


@dataclass(frozen=True, slots=True)
class ListAnswer:
    """The list's price, or None and the reason, as a finished sentence for the shop."""

    price: KerbPrice | None
    why: str = ""


def list_price(
    catalogue: Catalogue,
    damages: Sequence[DraftDamage],
    hour_minor: int,
    *,
    payer_kind: str = "private",
    labour_minor: Mapping[tuple[str, str], int] | None = None,
    is_by_hours: bool = False,
) -> ListAnswer:
    """What the list says for all `damages` of one panel, before tax, at the door rate `hour_minor`.

    `labour_minor` are the rates by (skill, payer kind): a payer with one of its own is priced by the plan, and so is an
    estimate by hours. A door of size M, painted, at 78.00 an hour and 10.3 hours in the list: 803.40, whether it was
    tapped at the kerb, booked in or found later. Never raises for what the list does not know: that is the answer.
    """
    refused = _why_not(catalogue, damages, hour_minor, is_by_hours=is_by_hours)
    if not refused and has_own_hour(labour_minor or {}, payer_kind):
        refused = catalogue.say("This payer has {labour} rates of its own.")
    if refused:
        return ListAnswer(None, refused)
    if damages[0].kind is DamageKind.CHIP:
        return ListAnswer(_chips_price(catalogue, damages[0], hour_minor))
    try:
        return ListAnswer(kerb_price(catalogue, _answer(damages[0]), hour_minor))
    except RuleBroken as broken:
        return ListAnswer(None, broken.sentence)


def _why_not(catalogue: Catalogue, damages: Sequence[DraftDamage], hour_minor: int, *, is_by_hours: bool) -> str:
    if is_by_hours:
        return "This estimate is priced by hours."
    if len(damages) != 1:
        return "Two damages on one panel are priced by the plan." if damages else "There is no damage yet."
    if hour_minor <= 0:
        return "Set your hourly rate in Settings."
    return _unknown(catalogue, damages[0])


def _unknown(catalogue: Catalogue, damage: DraftDamage) -> str:
    """Why the list knows no price for this damage; "" where it does."""
    if damage.kind not in LISTED_KINDS:
        if damage.kind is DamageKind.CHIP:
            return _unknown_chips(catalogue, damage)
        return catalogue.say(f"The price list has no price for {_KIND_WORDS[damage.kind]}.")
    return _unknown_dents(catalogue, damage) if damage.kind is DamageKind.SMALL_DENTS else _unknown_dent(damage)


def _unknown_dent(damage: DraftDamage) -> str:
    # No more than a tap can say: at a shallow dent's price a deep one over a line would not be borne.
    is_said = damage.crosses or any((damage.length_mm, damage.width_mm, damage.depth_um, damage.was_filled))
    is_plain = damage.depth is DepthStep.SHALLOW and not is_said
    return "" if is_plain else "A deep dent, or one across a line or edge, is priced by the plan."


def _unknown_dents(catalogue: Catalogue, damage: DraftDamage) -> str:
    if damage.dent_count < 1:
        return "Count the small dents first."
    bands = class_of(catalogue, damage.dent_class_mm or 25).bands if catalogue.small_dents else ((0, 0),)
    most = bands[-1][0]
    return f"The price list goes up to {most} small dents." if damage.dent_count > most else ""


def _unknown_chips(catalogue: Catalogue, damage: DraftDamage) -> str:
    most = catalogue.numbers["chips_touch_most"].value
    if not damage.chip_count:
        return "The price list has no price for a chip that is not counted. Count the stone chips."
    is_touched = damage.paint is PaintChoice.NO_PAINT and damage.chip_count <= most
    return "" if is_touched else "Stone chips that are painted over are priced by the plan."


def _chips_price(catalogue: Catalogue, damage: DraftDamage, hour_minor: int) -> KerbPrice:
    """Counted chips touched in: their minutes at the door rate. Eight at 78.00 an hour: 0.6 h, 46.80."""
    minutes = chip_minutes(catalogue, damage.chip_count)
    reason = f"{damage.chip_count} stone chips touched up; {minutes / 60:.1f} h at the door rate"
    return KerbPrice(chips_minor(catalogue, damage.chip_count, hour_minor), 1, minutes, reason)


def chips_minor(catalogue: Catalogue, count: int, hour_minor: int) -> int:
    """What so many counted chips on a panel cost touched in, before tax, at the door rate `hour_minor`."""
    return price_from_hours(divide_half_away(chip_minutes(catalogue, count), 6), hour_minor)


def _answer(damage: DraftDamage) -> KerbAnswer:
    """The panel, size and way that the list is read at: what a tap can say."""
    return KerbAnswer(
        panel=damage.panel,
        size=damage.size,
        paint=damage.paint,
        dent_count=damage.dent_count if damage.kind is DamageKind.SMALL_DENTS else 0,
        dent_class_mm=damage.dent_class_mm,
        substrate=None if damage.substrate is Substrate.UNKNOWN else damage.substrate,
    )
