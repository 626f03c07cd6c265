"""What a painter would warn of in a draft as a whole: the weather, the finish, the car, what a panel carries."""

from collections.abc import Iterator

from shopbook.trade.catalogue.kinds import Fixing, Substrate
from shopbook.trade.coating.weather import judge_weather
from shopbook.trade.measures.units import say_degrees
from shopbook.trade.planning.asked import Plastic
from shopbook.trade.planning.building import AID_PLACES
from shopbook.trade.planning.clear_stop import clear_stop_warnings
from shopbook.trade.planning.shapes import DraftStage, DraftWarning, Finish
from shopbook.trade.planning.sheet import Sheet
from shopbook.trade.planning.work import FLAKED, DraftBasis, PanelWork

WARM_C = 30.0
FILLERS = frozenset({"filler", "plastic_filler"})


def warn_of_products(sheet: Sheet) -> None:
    """Writes the warnings that belong to the whole draft on the sheet."""
    setting = sheet.setting
    sheet.warn(_of_car(setting))
    sheet.warn(_of_size(setting))
    for place, stage in enumerate(sheet.stages):
        sheet.warn(_of_products(setting, stage), (place,))
    if setting.painted:
        sheet.warn(clear_stop_warnings(setting))
        sheet.warn(_of_plastic(setting))
        sheet.warn(_of_weather(setting, _hardening(sheet)))
        sheet.warn(_of_finish(setting))


def _of_products(setting: DraftBasis, stage: DraftStage) -> Iterator[DraftWarning]:
    """The sheet of each product that the stage takes comes before the shop's own range."""
    day, roles = setting.conditions, {use.role for use in stage.uses}
    for each in day.ranges:
        if each.role in roles:
            for sentence in each.warnings(day.temperature_c, day.humidity):
                yield DraftWarning("product_range", sentence, has_name=True)


def _hardening(sheet: Sheet) -> frozenset[str]:
    """Roles of what is filled and sprayed with a hardener: in the cold it is these that stay soft."""
    mixes = sheet.setting.catalogue.mixes
    first = {next(iter(kind.parts)) for kind in mixes.values() if kind.pot_life_minutes}
    return frozenset(use.role for stage in sheet.stages for use in stage.uses if use.role in first | FILLERS)


def _of_weather(setting: DraftBasis, hardening: frozenset[str]) -> Iterator[DraftWarning]:
    degrees = setting.conditions.temperature_c
    coldest = setting.number("coldest_spray_c")
    colder_allowed = {each.role for each in setting.conditions.ranges if each.allows_cold(degrees)}
    if degrees < coldest and not (hardening and hardening <= colder_allowed):
        yield DraftWarning(
            "cold",
            f"At {say_degrees(degrees)} filler and 2K paint are not expected to cure. Heat the car and the shop to at "
            f"least {say_degrees(coldest)}; drying times are counted at {say_degrees(coldest)}. "
            "Warm the metal and the paint too, not only the air. No flame near solvent: a gas heater also makes the "
            "air damp.",
        )
    if degrees >= WARM_C:
        yield DraftWarning(
            "warm",
            f"At {say_degrees(degrees)} pot life is short and edges dry fast: use slower activator and {{reducer}}.",
        )
    weather = judge_weather(
        degrees, degrees, setting.conditions.humidity,
        margin_wanted_c=setting.number("dew_margin_c"), most_humidity_percent=setting.number("most_humidity"),
        product_range_c=(-40.0, 60.0),
    )  # fmt: skip
    for sentence in weather.warnings:
        yield DraftWarning("damp", sentence)


def _of_finish(setting: DraftBasis) -> Iterator[DraftWarning]:
    finish = setting.car.finish
    if finish is Finish.MATT:
        yield DraftWarning(
            "matt",
            "{Matt} {clear} cannot be de-nibbed, polished or melted in. Spray whole panels to an edge, keep dust out "
            "and compare the gloss on a card first. Dust in it means spraying the panel again.",
        )
    yield from _of_flake(setting)
    if setting.car.is_silicone_suspected:
        yield DraftWarning("silicone", "Silicone suspected: degrease twice more and spray a thin first coat.")
    if setting.conditions.has_lamp and any(panel.substrate is Substrate.PLASTIC for panel in setting.painted):
        yield DraftWarning("lamp_off_plastic", "Keep the lamp off plastic: drying times there are counted without it.")


def _of_flake(setting: DraftBasis) -> Iterator[DraftWarning]:
    """A blend is missed where the finish is known to have flake; one that nobody entered is asked for once."""
    if not setting.car.is_finish_known:
        yield DraftWarning(
            "finish_unknown",
            "The finish of this car is not entered: solid, metallic or pearl? Enter it on the car’s page. "
            "Until then the plan is for a metallic.",
        )
    is_flaked = setting.car.finish in FLAKED and setting.car.is_finish_known
    if is_flaked and not setting.blended and any(panel.panel.neighbours for panel in setting.painted):
        yield DraftWarning(
            "no_blend",
            "Metallic without a blend may show at the gap. Check the {colour} and tell the customer first.",
        )


def _of_car(setting: DraftBasis) -> Iterator[DraftWarning]:
    if setting.car.is_high_voltage:
        yield DraftWarning(
            "high_voltage",
            "High-voltage car: no unplugging, heat, baking or welding until someone qualified has made it dead.",
        )
    places = {each for panel in setting.finished for each in panel.panel.carries}
    if setting.car.has_driver_aids and places & AID_PLACES:
        yield DraftWarning(
            "driver_aids",
            "There are sensors or cameras in these panels: paint and filler over them only as the car's maker allows, "
            "and calibration by qualified people.",
        )


def _of_plastic(setting: DraftBasis) -> Iterator[DraftWarning]:
    plastic = [panel for panel in setting.painted if panel.substrate is Substrate.PLASTIC and panel.works]
    if any(panel.plastic is Plastic.UNKNOWN for panel in plastic):
        yield DraftWarning(
            "plastic_unknown",
            "The kind of plastic is not entered, so it is planned as PP. Look for its stamp on the back.",
        )
    if any("sensor" in panel.panel.carries for panel in plastic) and not setting.car.has_driver_aids:
        yield DraftWarning("radar_behind", "Check whether a radar or sensor sits behind the bumper before you paint.")


def deeply_filled(setting: DraftBasis) -> list[PanelWork]:
    """Bolt-on panels on which more would be left to fill than the shop likes: a new one is compared first."""
    most = setting.number("left_warn_mm")
    return [
        panel
        for panel in setting.painted
        if panel.panel.fixing is Fixing.BOLT_ON
        and panel.substrate is not Substrate.PLASTIC
        and any(work.fill_mm > most for work in panel.works)
    ]


def compare_sentence(
    setting: DraftBasis, panel: PanelWork, repaired_hours: float, renewed_hours: float
) -> DraftWarning:
    """The comparison in a sentence; both in man-hours."""
    deepest = max(panel.works, key=lambda work: work.fill_mm)
    return DraftWarning(
        "compare_first",
        f"Damage {deepest.damage.number}: about {deepest.fill_mm:g} mm would be left to fill. Compare first: to repair "
        f"takes {repaired_hours:.1f} h, a new part {renewed_hours:.1f} h and its price, painted on both sides.",
    )


def _of_size(setting: DraftBasis) -> Iterator[DraftWarning]:
    for panel in setting.painted:
        share = sum(work.areas.damage_m2 for work in panel.primed) / panel.panel.area_m2
        if share > setting.number("compare_share"):
            bolted = panel.panel.fixing is Fixing.BOLT_ON
            hint = "compare it with a new one" if bolted else "ask what a new one welded in would cost"
            yield DraftWarning("compare_new", f"About {share:.0%} of the panel is damaged: {hint}.")
