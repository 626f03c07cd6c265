"""What kinds of catalogue entry and their fields are called on a page."""

from shopbook.trade.catalogue.entries import Entry, EntryKind, StageKind
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.results.learning import ELSEWHERE

KIND_WORDS = {
    EntryKind.STAGE: ("Stages", "Standard minutes, what follows and what is used."),
    EntryKind.WAIT: ("Drying times", "Earliest and latest, at 20 °C (68 °F). The product data sheet comes first."),
    EntryKind.PANEL: ("Panels", "Painted areas, and minutes to remove and {refit} trim."),
    EntryKind.MIX: ("Mixes", "Ratio, solids, film and coats. The product data sheet comes first."),
    EntryKind.SMALL_DENT: ("Small dents", "Tenths of an hour by number and size."),
    EntryKind.FACTOR: ("Factors", "What makes work take longer, and why."),
    EntryKind.GUN: ("Spray guns", "Set-up ranges. The gun’s own instructions come first."),
    EntryKind.MATERIAL: ("Materials", "What plans ask for. Your own stock is under Shelf."),
    EntryKind.NUMBER: ("Figures", "Single figures used in planning."),
}

COUNT_WORDS = {
    EntryKind.STAGE: ("stage", "stages"),
    EntryKind.PRICE: ("price", "prices"),
    EntryKind.SMALL_DENT: ("small-dent price", "small-dent prices"),
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
    "access": "Access to the back",
    "adds": "Stage added if it is too late",
    "area_m2": "Painted area",
    "bands": "Number up to: tenths of an hour",
    "build_parts": "Parts, less {reducer} for high build",
    "cautions": "Warnings",
    "carries": "Parts in it that need care",
    "coat_minutes": "Minutes per coat",
    "comes_as": "Comes as",
    "damage_minutes": "Minutes per damage",
    "density_mg_ml": "Density, mg/ml",
    "ding_permille": "Weight in small-dent prices, thousandths",
    "distance_cm": "Distance, cm: low and high",
    "dry_um": "Total dry film",
    "factors": "What makes it take longer",
    "fit_minutes": "Minutes to fit a new part",
    "fixing": "How it is attached",
    "fixed_minutes": "Minutes once per stage",
    "gun_cleans": "Times the gun is cleaned",
    "inlet_bar": "Inlet pressure, bar: low and high",
    "is_on": "Used in plans",
    "is_bought_for_job": "Bought for each job",
    "is_flat": "Large and flat",
    "is_kept_over_closed_days": "May stand over closed days",
    "is_thumb_by_repair": "Rule of thumb is per repair",
    "kind": "Kind of drying",
    "lamp_minutes": "Minutes under the lamp",
    "loss_ml": "Lost in cup and gun per mix, ml",
    "minutes": "Drying minutes",
    "minutes_per_m2": "Minutes per square {metre}",
    "measured_by": "Area used",
    "neighbours": "Adjacent panels",
    "next_panel_permille": "Each additional panel, % of its minutes",
    "not_after_minutes": "No later than, minutes",
    "of_permille": "Applies to, thousandths of the minutes",
    "opened_days": "Shelf life opened, days",
    "order": "Order of stages",
    "order_when_quarters": "Reorder at, quarters of a pack left",
    "overlap_percent": "Overlap, %: low and high",
    "own_cautions": "Your own rules for this stage",
    "pack_thousandths": "Pack size, thousandths of its unit",
    "panel_minutes": "Minutes per panel",
    "parts": "Parts by volume",
    "permille": "Multiplied by, thousandths",
    "pot_life_minutes": "Pot life, minutes",
    "price_minor": "Price of a pack, in the smallest coin",
    "shelf_days": "Shelf life unopened, days",
    "skin_um": "Sheet thickness",
    "solids_permille": "Solids by volume, thousandths",
    "step_ml": "Measuring step, ml",
    "steps": "Steps",
    "substrate": "Made of",
    "thumb_ml": "Rule of thumb, ml: low and high",
    "tip_mm": "Tip, mm: low and high",
    "trim_off_minutes": "Minutes to remove trim",
    "trim_on_minutes": "Minutes to {refit} trim",
    "up_to_mm": "Up to this width",
    "uses": "Materials per panel",
    "wait": "Drying that follows",
    "waits_inside": "Drying included in the stage",
    "way": "How it is counted",
    "why": "Why we do it",
}

CHOICE_WORDS = {"aluminium": "{aluminium}", "floor": "{supplies}", "piece": "by the piece"}
"""What a choice is called where its own word would not do."""

HINTS = {
    "comes_as": "For abrasives. Strips and sheets last longer than discs, so plans ask for fewer.",
    "own_cautions": "One per line. Shown with ours on the plan, floor and job card.",
    "not_after_minutes": "Leave empty for no limit.",
    "lamp_minutes": "Leave empty if a lamp makes no difference.",
    "pot_life_minutes": "Leave empty if it keeps for days.",
    "bands": "One per line, for example 5: 26.",
}


def hours_words(entry: Entry) -> str:
    """A stage's standard in a line: "26 min, 16 per panel, 24 per m²"; "" for any other kind of entry."""
    if not isinstance(entry, StageKind):
        return ""
    parts = [
        (entry.fixed_minutes, ""),
        (entry.panel_minutes, " per panel"),
        (entry.damage_minutes, " per damage"),
        (entry.minutes_per_m2, f" per m² of {'the ' if entry.measured_by != 'none' else ''}{entry.measured_by}"),
    ]
    told = [f"{minutes:g} min{words}" for minutes, words in parts if minutes]
    if entry.code in ELSEWHERE:
        told.append("set by the panel" if entry.code != StageCode.PAINTLESS else "by number and size of dents")
    return ", ".join(told)
