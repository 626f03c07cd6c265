"""What the kinds of catalogue entry and their fields are called on a page."""

from shopbook.trade.catalogue.entries import Entry, EntryKind, StageKind
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.results.learning import ELSEWHERE

KIND_WORDS = {
    EntryKind.STAGE: ("Stages", "Standard man-minutes, what follows, what is used."),
    EntryKind.WAIT: ("Waits", "Not before, not after, at 20 °C (68 °F); the product's data sheet comes first."),
    EntryKind.PANEL: ("Panels", "Painted areas, trim off and on."),
    EntryKind.MIX: ("Mixes", "Ratio, solids, film and coats; the product's data sheet comes first."),
    EntryKind.SMALL_DENT: ("Small dents", "Tenths of an hour by count, for each class of size."),
    EntryKind.FACTOR: ("Factors", "What makes work longer, and why."),
    EntryKind.GUN: ("Spray guns", "Set-up as ranges; as on the gun where it says otherwise."),
    EntryKind.MATERIAL: ("Materials", "What plans ask for; what stands on your shelf is kept there."),
    EntryKind.NUMBER: ("Figures", "Single figures of the trade."),
}

COUNT_WORDS = {
    EntryKind.STAGE: ("stage", "stages"),
    EntryKind.PRICE: ("price", "prices"),
    EntryKind.SMALL_DENT: ("price of small dents", "prices of small dents"),
    EntryKind.MATERIAL: ("material", "materials"),
    EntryKind.WAIT: ("drying time", "drying times"),
    EntryKind.PANEL: ("panel", "panels"),
    EntryKind.MIX: ("mix", "mixes"),
    EntryKind.FACTOR: ("factor", "factors"),
    EntryKind.GUN: ("spray gun", "spray guns"),
    EntryKind.NUMBER: ("figure", "figures"),
}
"""One and several of each kind, in the order of a sentence that counts them."""

FIELD_WORDS = {
    "access": "Reaching the back",
    "adds": "A passed window adds the stage",
    "area_m2": "Painted area",
    "bands": "Count up to: tenths of an hour",
    "build_parts": "Parts, reduced less for build",
    "cautions": "What can hurt here",
    "coat_minutes": "Minutes to spray a coat",
    "comes_as": "Comes as",
    "damage_minutes": "Minutes for each damage",
    "density_mg_ml": "Density, mg/ml",
    "ding_permille": "Weight in small-dent prices, thousandths",
    "distance_cm": "Distance, cm: low and high",
    "dry_um": "Dry film of all coats",
    "fit_minutes": "Minutes to fit a new one",
    "fixed_minutes": "Minutes once a stage",
    "inlet_bar": "Air at the inlet, bar: low and high",
    "is_on": "Part of a plan",
    "is_flat": "Large and flat",
    "is_kept_over_closed_days": "May lie over closed days",
    "kind": "Kind of wait",
    "lamp_minutes": "Minutes under a lamp",
    "loss_ml": "Lost in cup and gun for each mix, ml",
    "minutes": "Minutes to wait",
    "minutes_per_m2": "Minutes for each square metre",
    "measured_by": "That area is the",
    "next_panel_permille": "A further panel counts, thousandths",
    "not_after_minutes": "Not after, minutes",
    "of_permille": "Works on, thousandths of the minutes",
    "opened_days": "Keeps once opened, days",
    "order": "Place in the order",
    "order_when_quarters": "Order when so many quarters of a pack are left",
    "overlap_percent": "Overlap, %: low and high",
    "own_cautions": "Your own rules for this stage",
    "pack_thousandths": "Pack, thousandths of its unit",
    "panel_minutes": "Minutes for each panel",
    "parts": "Parts by volume",
    "permille": "Times, thousandths",
    "pot_life_minutes": "Pot life, minutes",
    "price_minor": "Price of a pack, in the smallest coin",
    "shelf_days": "Keeps unopened, days",
    "skin_um": "Thickness of its skin",
    "solids_permille": "Solids by volume, thousandths",
    "step_ml": "Measured in steps of, ml",
    "steps": "Small steps inside",
    "thumb_ml": "Rule of thumb, ml: low and high",
    "tip_mm": "Tip, mm: low and high",
    "trim_off_minutes": "Minutes for trim off",
    "trim_on_minutes": "Minutes for trim on",
    "up_to_mm": "Up to so wide",
    "uses": "Materials for each panel",
    "wait": "Wait that follows",
    "waits_inside": "Waits sat out within",
    "way": "How it is counted",
    "why": "Why it is done",
}

HINTS = {
    "comes_as": "Of an abrasive: a strip or a sheet lasts longer than a disc, so that plans ask for fewer.",
    "own_cautions": "One a line. They stand beside the program's on plan, floor and job card, from their day.",
    "not_after_minutes": "Empty: no limit.",
    "lamp_minutes": "Empty: a lamp changes nothing.",
    "pot_life_minutes": "Empty: for days.",
    "bands": "One band a line, such as 5: 26.",
}


def hours_words(entry: Entry) -> str:
    """A stage's standard in a line: "26 min, 16 a panel, 24 a m²"; "" for any other kind of entry."""
    if not isinstance(entry, StageKind):
        return ""
    parts = [
        (entry.fixed_minutes, ""),
        (entry.panel_minutes, " a panel"),
        (entry.damage_minutes, " a damage"),
        (entry.minutes_per_m2, f" a m² of {'the ' if entry.measured_by != 'none' else ''}{entry.measured_by}"),
    ]
    told = [f"{minutes:g} min{words}" for minutes, words in parts if minutes]
    if entry.code in ELSEWHERE:
        told.append("as the panel has it" if entry.code != StageCode.PAINTLESS else "many by count and size")
    return ", ".join(told)
