"""How the story's short words for cars and damage are read, and the pictures that go with them."""

import io
from collections.abc import Sequence
from random import Random
from typing import Any

from shopbook.commands.demo.frame import Row
from shopbook.commands.demo.pictures import draw_car
from shopbook.config import Config
from shopbook.outside.pictures import keep_picture
from shopbook.trade.car.pictures import KeptPicture
from shopbook.trade.countries import Country
from shopbook.trade.letters import upper_first

PANELS = {
    "LFW": "left_front_wing",
    "LFD": "left_front_door",
    "LRD": "left_rear_door",
    "LQ": "left_quarter",
    "LS": "left_sill",
    "RFW": "right_front_wing",
    "RFD": "right_front_door",
    "RRD": "right_rear_door",
    "RQ": "right_quarter",
    "RS": "right_sill",
    "FB": "front_bumper",
    "BO": "bonnet",
    "RO": "roof",
    "TG": "tailgate",
    "RB": "rear_bumper",
}
_KINDS = {"d": "dent", "c": "crease", "s": "scratch", "f": "scuff", "r": "rust", "k": "crack"}
_DEPTHS = {"1": "shallow", "2": "finger", "3": "deep"}
_PLASTIC = frozenset({"front_bumper", "rear_bumper"})
_HAIL_MM = 25
_COLOURS = {
    "blue": ("#2f5f9b", "metallic"),
    "silver": ("#b8bec4", "metallic"),
    "white": ("#f1f1ec", "solid"),
    "red": ("#a8262b", "solid"),
    "green": ("#3d5f4b", "metallic"),
    "black": ("#1c1d20", "solid"),
    "grey": ("#6f767d", "metallic"),
}
_WORDS = {
    "dent": "dented",
    "crease": "creased",
    "scratch": "scratched",
    "scuff": "scuffed",
    "rust": "rusted",
    "crack": "cracked",
    "small_dents": "hail",
}


def read_hurt(word: str) -> dict[str, Any]:
    """What `add_damage` takes, from a word such as "LFD.dM2" or "RO.h40"."""
    short, _, how = word.partition(".")
    panel = PANELS[short]
    plain: dict[str, Any] = {"panel": panel, "substrate": "plastic" if panel in _PLASTIC else "steel"}
    if how.startswith("h"):
        small = {"kind": "small_dents", "dent_count": int(how[1:]), "dent_class_mm": _HAIL_MM, "access": "good"}
        return plain | small | {"paint": "no_paint"}
    return plain | {"kind": _KINDS[how[0]], "size": how[1], "depth": _DEPTHS[how[2]], "paint": "paint"}


def say_wrong(hurts: Sequence[dict[str, Any]], country: Country) -> str:
    """The one line of what is wrong, as the desk would type it there."""
    first, *others = (country.panel(hurt["panel"]) for hurt in hurts)
    words = f"{upper_first(first)} {_WORDS[hurts[0]['kind']]}"
    more = list(others)
    return f"{words}; {', '.join(more)} too" if more else words


def say_edge(hurts: Sequence[dict[str, Any]], country: Country) -> str:
    """What a comeback is for, as the desk would type it there."""
    return f"Blend edge shows in the sun, {country.panel(hurts[0]['panel'])}"


def describe_car(car: str, rng: Random, country: Country) -> dict[str, Any]:
    """What `add_vehicle` takes, from words such as "grey wagon", said as the country says them."""
    colour, _, shape = car.partition(" ")
    tone, finish = _COLOURS[colour]
    letters = "".join(rng.choice("BCDFGHJKLMNPRSTVWX") for _ in range(3))
    number = rng.randint(1000, 9999)
    made: dict[str, Any] = {
        "description": country.words.get(shape, shape),
        "colour_name": country.words.get(colour, colour),
        "colour_hex": tone,
        "colour_code": f"{colour[:2].upper()}{rng.randint(100, 999)}",
        "finish": finish,
        "year": rng.randint(2009, 2023),
        "has_driver_aids": rng.random() < 0.4,
    }
    # A British one names the year in its two figures.
    plate = f"{letters} {number}" if country.code == "us" else f"{letters[:2]}{made['year'] % 100:02} {letters}"
    return made | {"plate": plate}


def keep_sketches(config: Config, rows: Sequence[Row]) -> dict[Row, list[KeptPicture]]:
    """Two pictures for every line of the story that has some, kept on the disk before anything is written of them."""
    rng, kept = Random(3), {}
    for row in rows:
        if row.has("pic"):
            paint = _COLOURS[row.car.partition(" ")[0]][0]
            spots = [(rng.uniform(0.15, 0.85), rng.uniform(0.46, 0.68)) for _ in row.hurt]
            shots = (draw_car(paint, spots), draw_car(paint, spots[:1], back="#c7cdd1"))
            kept[row] = [keep_picture(io.BytesIO(shot), config.pictures_folder) for shot in shots]
    return kept
