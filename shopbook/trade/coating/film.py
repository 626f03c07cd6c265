"""How much paint a film needs: wet and dry film, spreading rate, thinning, and ready-to-spray volume."""

import math

from shopbook.trade.errors import RuleBroken

UM_PER_MIL = 25.4
"""A mil is a thousandth of an inch of exactly 25.4 mm."""

ML_PER_US_GALLON = 231 * 2.54**3
"""231 cubic inches (NIST Handbook 44, appendix C): 3785.411784 ml."""

FT2_MIL_PER_US_GALLON = 231 * 1000 / 144
"""One gallon laid a mil thick with nothing lost: 1604.1667 ft²."""

TRANSFER_SINGLE_PANEL = 0.50
"""Common practice, 75 % sure: the share of what leaves the gun that stays on one panel. A trade journal's primer on
transfer efficiency gives 50 to 60 % as what low-pressure guns reach and 30 % for an old cup gun; a state pollution
prevention centre's trainer rarely sees automotive painters over 50 % (both: search of 2026-11). Rules ask 65 % of the
gun itself, which is hopeful for a job."""

FIXED_LOSS_ML = 40.0
"""Common practice, 75 % sure: what stays in cup, gun and filter with every mix."""


def um_from_mil(mil: float) -> float:
    """Thousandths of an inch as µm."""
    return mil * UM_PER_MIL


def mil_from_um(um: float) -> float:
    """µm as thousandths of an inch."""
    return um / UM_PER_MIL


def wet_um(dry_um: float, volume_solids: float, thinner_share: float = 0.0) -> float:
    """The wet film in µm that dries to `dry_um`; `thinner_share` is thinner added per volume of paint (0.1 is 10 %).

    Wet = dry × (1 + thinner) ÷ solids, as the data-sheet rule quoted with SSPC-PA 2 has it.
    """
    return _above_zero(dry_um, "The dry film", "dry_um") / thinned_solids(volume_solids, thinner_share)


def dry_um(wet_um: float, volume_solids: float, thinner_share: float = 0.0) -> float:
    """The dry film in µm that a wet film leaves: wet × solids ÷ (1 + thinner)."""
    return _above_zero(wet_um, "The wet film", "wet_um") * thinned_solids(volume_solids, thinner_share)


def thinned_solids(volume_solids: float, thinner_share: float) -> float:
    """The share of solids by volume once `thinner_share` volumes of thinner went into each volume of paint."""
    if not math.isfinite(thinner_share) or thinner_share < 0:
        raise RuleBroken("Enter zero or more {reducer}.", "thinner_share")
    return check_solids(volume_solids) / (1 + thinner_share)


def spreading_rate_m2_per_l(dry_um: float, volume_solids: float, transfer_efficiency: float = 1.0) -> float:
    """Square metres that one litre covers at a dry film in µm: 1 litre at 1 µm and no loss is 1000 m²."""
    film = _above_zero(dry_um, "The dry film", "dry_um")
    return 1000 * check_solids(volume_solids) * check_transfer(transfer_efficiency) / film


def spreading_rate_ft2_per_gallon(dry_mil: float, volume_solids: float, transfer_efficiency: float = 1.0) -> float:
    """Square feet that one US gallon covers at a dry film in mil (1604.17 ft²·mil per gallon)."""
    film = _above_zero(dry_mil, "The dry film", "dry_mil")
    return FT2_MIL_PER_US_GALLON * check_solids(volume_solids) * check_transfer(transfer_efficiency) / film


def ready_to_spray_ml(
    area_m2: float,
    dry_um: float,
    volume_solids: float,
    transfer_efficiency: float = TRANSFER_SINGLE_PANEL,
    fixed_loss_ml: float = FIXED_LOSS_ML,
) -> float:
    """Millilitres to have in the cup for `dry_um` of film over `area_m2`, all coats, with one mix's loss.

    One ml over one m² is one µm wet, so need = area × film ÷ (solids × transfer) + loss.
    """
    area = _above_zero(area_m2, "The area", "area_m2")
    film = _above_zero(dry_um, "The dry film", "dry_um")
    if not math.isfinite(fixed_loss_ml) or fixed_loss_ml < 0:
        raise RuleBroken("Enter zero or more for the loss in cup and gun.", "fixed_loss_ml")
    return area * film / (check_solids(volume_solids) * check_transfer(transfer_efficiency)) + fixed_loss_ml


def to_thousandths_ml(ml: float) -> int:
    """The one place where an estimate in ml becomes a quantity in whole thousandths, halves going up, so that the same
    estimate is the same quantity wherever it is used."""
    if not math.isfinite(ml) or ml < 0:
        raise RuleBroken("A volume must be zero or more.")
    return math.floor(ml * 1000 + 0.5)


def check_solids(volume_solids: float) -> float:
    """The share of solids back, or RuleBroken when it is zero, below it, or over the whole."""
    if not math.isfinite(volume_solids) or not 0 < volume_solids <= 1:
        raise RuleBroken("Enter solids by volume above 0 and up to 100 %.", "volume_solids")
    return volume_solids


def check_transfer(transfer_efficiency: float) -> float:
    """The share that reaches the work back, or RuleBroken when it is zero, below it, or over the whole."""
    if not math.isfinite(transfer_efficiency) or not 0 < transfer_efficiency <= 1:
        raise RuleBroken("Enter a transfer efficiency above 0 and up to 100 %.", "transfer_efficiency")
    return transfer_efficiency


def _above_zero(value: float, what: str, field: str) -> float:
    if not math.isfinite(value) or value <= 0:
        raise RuleBroken(f"{what} must be above zero.", field)
    return value
