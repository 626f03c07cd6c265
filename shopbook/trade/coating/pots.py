"""How long a mix can be sprayed, and into how many pots the coats of one mix are parted so that none is overrun."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shopbook.trade.coating.mixing import say_ml
from shopbook.trade.errors import RuleBroken
from shopbook.trade.floor.waits import scaled_minutes
from shopbook.trade.measures.amounts import share_out


@dataclass(frozen=True, slots=True)
class TimedCoat:
    """One coat as it is laid: its thousandths of ml, minutes of spraying, and minutes of flash after it on the day."""

    thousandths_ml: int
    minutes: int
    flash_minutes: int


@dataclass(frozen=True, slots=True)
class Batch:
    """One mix of several: the coats it is for, numbered from 1, its volume, and minutes from its first pass to its
    last."""

    coats: tuple[int, ...]
    thousandths_ml: int
    minutes: int = 0


def pot_life_minutes(minutes_at_20: int, temperature_c: float) -> int:
    """Minutes a mix can be sprayed at the day's temperature: halved for each 10 °C warmer, at least one.

    Below 12 °C it is counted as at 12 °C, since a longer life must not be promised.
    """
    return max(1, scaled_minutes(minutes_at_20, temperature_c, shortest_first=True).minutes)


def coat_minutes(minutes_per_m2: float, area_m2: float, least: float) -> int:
    """Minutes to spray one coat, never under the least: at 4 a m² and 3 at least, 2.6 m² take 11 and 0.3 m² take 3."""
    # The hair is what floats add to a whole minute.
    return math.ceil(max(minutes_per_m2 * area_m2, least) - 1e-9)


def batches_within(coats: Sequence[TimedCoat], pot_life: int) -> tuple[Batch, ...]:
    """Coats gathered into as few mixes as the pot life allows, in order; a coat too long for one is cut in equal mixes.

    A mix's time runs from its first pass to the end of its last coat, flashes between its own coats included. Two coats
    of 11 min with 8 between are 30 of 50 min, one mix; a thin one with 10 min before them makes 51, two mixes.
    """
    if pot_life <= 0 or any(min(coat.minutes, coat.flash_minutes) < 0 for coat in coats):
        raise RuleBroken("Pot life, spraying and flash times must be zero or more.", "pot_life")
    batches: list[Batch] = []
    open_coats: list[int] = []
    for place in range(len(coats)):
        if open_coats and _minutes(coats, [*open_coats, place]) > pot_life:
            batches += _close(coats, open_coats, pot_life)
            open_coats = []
        open_coats.append(place)
    return (*batches, *_close(coats, open_coats, pot_life))


def say_batches(batches: Sequence[Batch], pot_life: int) -> str:
    """Why several mixes are proposed, and which coats each is for, as a sentence; the empty string for one mix."""
    if len(batches) < 2:
        return ""
    each = ", ".join(f"{say_ml(batch.thousandths_ml)} for {_say_coats(batch.coats)}" for batch in batches)
    return (
        f"Make {len(batches)} mixes ({each}): one mix would pass its pot life of {pot_life} min before the last coat."
    )


def _minutes(coats: Sequence[TimedCoat], places: Sequence[int]) -> int:
    flashes = sum(coats[place].flash_minutes for place in places[:-1])
    return sum(coats[place].minutes for place in places) + flashes


def _close(coats: Sequence[TimedCoat], places: Sequence[int], pot_life: int) -> list[Batch]:
    if not places:
        return []
    minutes = _minutes(coats, places)
    need = sum(coats[place].thousandths_ml for place in places)
    # Only a coat that alone is too long is over: it is parted into as many equal mixes as keep each within.
    pieces = max(1, math.ceil(minutes / pot_life))
    numbers = tuple(place + 1 for place in places)
    return [Batch(numbers, piece, math.ceil(minutes / pieces)) for piece in share_out(need, [1] * pieces)]


def _say_coats(coats: Sequence[int]) -> str:
    first, last = coats[0], coats[-1]
    if first == last:
        return f"coat {first}"
    return f"coats {first} and {last}" if last == first + 1 else f"coats {first} to {last}"
