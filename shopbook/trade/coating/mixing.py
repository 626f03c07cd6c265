"""A mix made ready: how much to make, its card with cup lines and scale readings, cups, and sharing it."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import divide_half_away, share_out
from shopbook.trade.measures.ratios import Recipe, say_parts, split_shown

STEP_THOUSANDTHS = 10_000
"""What a cup lets one measure: 10 ml; common practice."""

SCALE_STEP_THOUSANDTHS = 100
"""What a bench scale shows: 0.1 g."""


@dataclass(frozen=True, slots=True)
class MixLine:
    """One pour: its volume, the level in the cup after it, that level as a cup line, and what the scale then shows.

    The scale's figure is None from the first part whose density is unknown.
    """

    name: str
    part_thousandths_ml: int
    level_thousandths_ml: int
    cup_line: str
    scale_shows_thousandths_g: int | None


@dataclass(frozen=True, slots=True)
class MixCard:
    """A mix as it is poured, and what is made beyond the need."""

    ratio: str
    total_thousandths_ml: int
    lines: tuple[MixLine, ...]
    warnings: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class Cupful:
    """What is poured into one cup, how many such cups, and the size of the cup (None: none is large enough)."""

    each_thousandths: int
    count: int
    cup_thousandths: int | None


@dataclass(frozen=True, slots=True)
class SharedMix:
    """A mix made once and laid on several stages: what each took, and what is left in the cup."""

    taken_thousandths: Mapping[str, int]
    left_thousandths: int


@dataclass(frozen=True, slots=True)
class JointNeed:
    """What one mix for several stages must hold, what it saves beside as many mixes, and that in words."""

    wanted_thousandths: int
    saved_thousandths: int
    reason: str


def round_up(thousandths: int, step_thousandths: int = STEP_THOUSANDTHS) -> int:
    """The next measurable step at or above a volume: up, since a mix that runs out leaves a panel half coated."""
    if step_thousandths <= 0:
        raise RuleBroken("A measuring step must be above zero.", "step")
    return -(-thousandths // step_thousandths) * step_thousandths


def mix_card(
    recipe: Recipe,
    wanted_thousandths: int,
    *,
    step_thousandths: int = STEP_THOUSANDTHS,
    least_thousandths: int = 0,
) -> MixCard:
    """The card for a need in thousandths of ml: rounded up to a step, never under the least."""
    if wanted_thousandths <= 0:
        raise RuleBroken("Enter an amount to mix above zero.", "total")
    make = round_up(max(wanted_thousandths, least_thousandths), step_thousandths)
    return MixCard(
        recipe.words,
        make,
        mix_lines(recipe, make),
        _card_warnings(recipe, wanted_thousandths, least_thousandths),
        f"{say_ml(wanted_thousandths)} needed, {say_ml(make)} mixed, rounded up to {say_ml(step_thousandths)} steps.",
    )


def least_mix(recipe: Recipe, step_thousandths: int = STEP_THOUSANDTHS) -> int:
    """The least that a cup measures true, thousandths of ml: its smallest part is one step (4:1:1 by 10 ml is 60 ml).

    Percents added count too; a part of nothing does not. Common practice.
    """
    volumes = [volume for volume in recipe.volumes if volume > 0]
    return round_up(math.ceil(sum(volumes) / min(volumes) * step_thousandths), step_thousandths)


def say_least(wanted: int, least: int) -> str:
    """Why more is made than is wanted, both thousandths of ml, as a sentence; "" where the need is large enough."""
    if least <= wanted:
        return ""
    return f"You need {say_ml(wanted)}, but less than {say_ml(least)} cannot be measured accurately."


def thumb_words(total_thousandths: int, thumb_ml: tuple[int, int] | None) -> str:
    """What to say where a volume lies more than a quarter outside the nearer end of its rule of thumb; "" where not.

    Beside 250 to 300 ml, 188 to 375 ml say nothing; 187 and 376 ml do. Common practice.
    """
    if thumb_ml is None:
        return ""
    low, high = thumb_ml
    is_under, is_over = total_thousandths < low * 750, total_thousandths > high * 1250
    if not is_under and not is_over:
        return ""
    side = "below" if is_under else "above"
    return (
        f"{say_ml(total_thousandths)} is more than a quarter {side} the rule of thumb ({low} to {high} ml). "
        "Measure the area and count the coats before you mix."
    )


def mix_lines(recipe: Recipe, total_thousandths: int) -> tuple[MixLine, ...]:
    """The pours of one cup in order; volumes sum exactly, and a scale reading is rounded once, never added up."""
    lines = []
    level = 0
    line = Fraction(0)
    grams: float | None = 0.0
    volumes, densities = recipe.volumes, recipe.densities
    for place, part in enumerate(split_shown(recipe, total_thousandths)):
        level += part
        line += volumes[place]
        density = densities[place]
        grams = None if grams is None or density is None else grams + part * density
        is_plain = place < len(recipe.parts)
        words = f"to {say_parts(line)}" if is_plain else f"to {say_ml(level)}"
        lines.append(MixLine(recipe.names[place], part, level, words, None if grams is None else _scale_step(grams)))
    return tuple(lines)


def choose_cup(total_thousandths: int, cup_sizes: Sequence[int]) -> int | None:
    """The smallest cup that holds a volume, in thousandths of ml; None if none does."""
    return min((size for size in cup_sizes if size >= total_thousandths), default=None)


def fill_cups(wanted_thousandths: int, cup_sizes: Sequence[int], chosen: int | None = None) -> Cupful:
    """A need in thousandths of ml as cups that are all alike: the chosen cup full, else the smallest that holds it.

    A need over the largest is parted evenly, each up to a step. RuleBroken for a need or a cup of nothing.
    """
    if wanted_thousandths <= 0:
        raise RuleBroken("Enter an amount to mix above zero.", "amount")
    if chosen is not None:
        if chosen <= 0:
            raise RuleBroken("Enter a cup size above zero.", "cup")
        return Cupful(chosen, -(-wanted_thousandths // chosen), chosen)
    largest = max(cup_sizes, default=wanted_thousandths)
    count = max(1, -(-wanted_thousandths // max(largest, 1)))
    each = -(-wanted_thousandths // count)
    stepped = each if count == 1 else min(round_up(each), largest)
    return Cupful(stepped, count, choose_cup(stepped, cup_sizes))


def mix_together(needs: Mapping[str, int], loss_thousandths: int) -> JointNeed:
    """One mix for several stages or jobs of one colour: their needs without loss, and the loss in cup and gun once."""
    if not needs or any(need < 0 for need in needs.values()) or loss_thousandths < 0:
        raise RuleBroken("Enter what each stage needs, zero or more.", "stages")
    saved = loss_thousandths * (len(needs) - 1)
    words = f"One mix for {len(needs)} stages: cup and gun loss counts once, which saves {say_ml(saved)}."
    return JointNeed(sum(needs.values()) + loss_thousandths, saved, words if len(needs) > 1 else "")


def share_mix(made_thousandths: int, left_thousandths: int, planned: Mapping[str, int]) -> SharedMix:
    """What each stage took of one mix: all that is gone from the cup, shared by what was planned, exactly.

    Keys of `planned` are the caller's (stages of one job or of several); values are planned thousandths.
    """
    if not 0 <= left_thousandths <= made_thousandths:
        raise RuleBroken("More is left than was mixed. Check both amounts.", "left")
    if not planned or any(need < 0 for need in planned.values()):
        raise RuleBroken("Choose the stages this mix was for.", "stages")
    taken = share_out(made_thousandths - left_thousandths, list(planned.values()))
    return SharedMix(dict(zip(planned, taken, strict=True)), left_thousandths)


def say_ml(thousandths: int) -> str:
    """A volume in ml with at most one figure after the point: "240 ml", "37.5 ml"."""
    tenths = divide_half_away(thousandths, 100)
    return f"{tenths // 10} ml" if tenths % 10 == 0 else f"{tenths / 10:.1f} ml"


def _scale_step(thousandths_g: float) -> int:
    """The nearest tenth of a gram that a scale shows: a reading is poured to, so that neither way is the safe one."""
    return math.floor(thousandths_g / SCALE_STEP_THOUSANDTHS + 0.5) * SCALE_STEP_THOUSANDTHS


def _card_warnings(recipe: Recipe, wanted: int, least: int) -> tuple[str, ...]:
    warnings = [sentence] if (sentence := say_least(wanted, least)) else []
    missing = [name for name, d in zip(recipe.names, recipe.densities, strict=True) if d is None]
    if missing:
        warnings.append(
            f"No scale readings, since the density of {', '.join(missing)} is not known. Measure by the cup."
        )
    return tuple(warnings)
