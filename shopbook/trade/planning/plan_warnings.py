"""What a painter would frown at in a draft as a whole: the weather, the finish, the car, what a panel carries."""

from collections.abc import Iterator

from shopbook.trade.catalogue.kinds import Fixing, Substrate
from shopbook.trade.coating.weather import judge_weather
from shopbook.trade.measures.units import say_degrees
from shopbook.trade.planning.building import AID_PLACES
from shopbook.trade.planning.shapes import DraftStage, DraftWarning, Finish
from shopbook.trade.planning.sheet import Sheet
from shopbook.trade.planning.work import FLAKED, DraftBasis

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
        sheet.warn(_of_weather(setting, _hardening(sheet)))
        sheet.warn(_of_finish(setting))


def _of_products(setting: DraftBasis, stage: DraftStage) -> Iterator[DraftWarning]:
    """The sheet of each product that the stage takes comes before the shop's own range."""
    day, roles = setting.conditions, {use.role for use in stage.uses}
    for each in day.ranges:
        if each.role in roles:
            for sentence in each.warnings(day.temperature_c, day.humidity):
                yield DraftWarning("product_range", sentence)


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
            f"At {say_degrees(degrees)} filler and two-pack paint are not expected to harden: heat car and shop to at "
            f"least {say_degrees(coldest)}. Waits are counted as at {say_degrees(coldest)}. "
            "No flame near solvent, and a gas heater wets the air; tins and metal are warmed too, not only the air.",
        )
    if degrees >= WARM_C:
        yield DraftWarning(
            "warm", f"At {say_degrees(degrees)} pot lives are short and edges dry: slower activator and reducer."
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
            "Matt clear cannot be nibbed, polished or melted in: whole panels to an edge, no dust, and the gloss "
            "compared on a card first. What falls in means the panel again.",
        )
    if finish in FLAKED and not setting.blended and any(panel.panel.neighbours for panel in setting.painted):
        yield DraftWarning(
            "no_blend",
            "Flake without a blend into the next panel may show at the gap: the colour check decides, and the customer "
            "hears of it before.",
        )
    if setting.car.is_silicone_suspected:
        yield DraftWarning("silicone", "Silicone is suspected: degrease twice more and lay a thin first coat.")
    if setting.conditions.has_lamp and any(panel.substrate is Substrate.PLASTIC for panel in setting.painted):
        yield DraftWarning("lamp_off_plastic", "The lamp stays off plastic: waits there are counted without it.")


def _of_car(setting: DraftBasis) -> Iterator[DraftWarning]:
    if setting.car.is_high_voltage:
        yield DraftWarning(
            "high_voltage",
            "High-voltage car: unplugging, heat, bake and welding only after somebody qualified has made it dead.",
        )
    places = {each for panel in setting.finished for each in panel.panel.carries}
    if setting.car.has_driver_aids and places & AID_PLACES:
        yield DraftWarning(
            "driver_aids",
            "Sensors or cameras sit in what is worked on: film and filler over them only as the car's maker allows, "
            "calibration by qualified people.",
        )


def _of_size(setting: DraftBasis) -> Iterator[DraftWarning]:
    for panel in setting.painted:
        share = sum(work.areas.damage_m2 for work in panel.primed) / panel.panel.area_m2
        if share > setting.number("compare_share"):
            bolted = panel.panel.fixing is Fixing.BOLT_ON
            hint = "compare it with a new one" if bolted else "ask what a new one welded in would cost"
            yield DraftWarning("compare_new", f"About {share:.0%} of the panel is hurt: {hint}.")
