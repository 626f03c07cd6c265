"""What a pack of each material costs while the shelf has no price for it: our guess, in hours of the door rate."""

from shopbook.trade.measures.amounts import divide_half_away

USUAL_PERMILLE = 400
"""For a role without a figure of its own: never zero, so that a material without a price is never given away."""

PACK_PERMILLE = {
    "base_blender": 750,
    "base_reducer": 800,
    "base_water_reducer": 700,
    "cavity_wax": 180,
    "clear": 2900,
    "clear_activator": 1550,
    "clip_set": 140,
    "colour": 1100,
    "compound": 400,
    "degreaser": 550,
    "disc_p120": 530,
    "disc_p1500": 500,
    "disc_p180": 530,
    "disc_p240": 540,
    "disc_p3000": 480,
    "disc_p320": 540,
    "disc_p400": 540,
    "disc_p500": 410,
    "disc_p80": 540,
    "disc_p800": 410,
    "epoxy": 670,
    "epoxy_activator": 500,
    "etch": 620,
    "etch_activator": 460,
    "filler": 450,
    "filler_hardener": 85,
    "fine_pad": 340,
    "gloves": 250,
    "ground_colour": 900,
    "guide_coat": 140,
    "gun_cleaner_water": 500,
    "gun_thinner": 770,
    "masking_film": 350,
    "masking_paper": 310,
    "matt_activator": 450,
    "matt_clear": 1000,
    "mid_colour": 1300,
    "plastic_adhesive": 350,
    "plastic_cleaner": 220,
    "plastic_filler": 500,
    "plastic_mesh": 260,
    "polish_cloth": 210,
    "promoter": 570,
    "repair_promoter": 420,
    "rust_treatment": 190,
    "sealer": 1150,
    "sealer_activator": 670,
    "sealer_reducer": 770,
    "seam_sealer": 160,
    "stone_guard": 230,
    "strainer": 160,
    "surfacer": 1260,
    "surfacer_activator": 720,
    "surfacer_reducer": 790,
    "tack_cloth": 170,
    "tape": 54,
    "touch_in": 350,
    "wipes": 290,
}
"""Thousandths of a door-rate hour by role: common practice, from memory, at 78 dollars an hour (a 5 litre can of clear
226, a roll of tape 4.20). Counted in hours, the guess follows the shop's own currency; a delivery's price wins."""


def guessed_cost(role: str, amount_thousandths: int, pack_thousandths: int, door_rate_minor: int) -> int:
    """What an amount costs by the guess for its pack, in minor units, at least one where there is an amount."""
    if amount_thousandths <= 0:
        return 0
    pack = PACK_PERMILLE.get(role, USUAL_PERMILLE) * door_rate_minor
    return max(1, divide_half_away(amount_thousandths * pack, pack_thousandths * 1000))
