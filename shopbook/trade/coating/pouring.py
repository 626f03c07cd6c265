"""A planned mix as it is poured: each part's amount, the level or weight after it, from whatever the plan now says."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from shopbook.trade.coating.filler import hardener_warning
from shopbook.trade.coating.mixing import SCALE_STEP_THOUSANDTHS, MixLine, mix_lines, say_ml
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.measures.ratios import Recipe, parse_ratio, read_part, say_parts, split_shown, split_thousandths

CUP_STEP_THOUSANDTHS = 1000
"""What a cup shows: 1 ml."""

PART_OFF_PERCENT = 5
"""How far a part may be from its own amount before it is warned of; common practice."""


@dataclass(frozen=True, slots=True)
class Pouring:
    """What a mix is poured from: thousandths of ml (or of g, by weight) of each part, and g/ml, None where unknown.

    `ratio` is the one that the plan asks for; the parts may be others by now.
    """

    ratio: str
    names: tuple[str, ...]
    parts_thousandths: tuple[int, ...]
    densities: tuple[float | None, ...]
    is_by_weight: bool = False

    @property
    def total_thousandths(self) -> int:
        """All of it."""
        return sum(self.parts_thousandths)

    def lines(self, total_thousandths: int | None = None) -> tuple[MixLine, ...]:
        """The pours in order, of all of it or scaled to another whole: the same shares, and they sum to it exactly."""
        total = self.total_thousandths if total_thousandths is None else total_thousandths
        if self.total_thousandths <= 0 or total <= 0:
            return ()
        if not self.is_by_weight and self.is_as_asked and (recipe := self._recipe):
            return mix_lines(recipe, total)
        parts = self.parts(total)
        if self.is_by_weight:
            return weigh_lines(self.names, parts)
        return pour_lines(self.ratio, self.names, parts, self.densities)

    def parts(self, total_thousandths: int) -> tuple[int, ...]:
        """Thousandths of each part in another whole, to what cup or scale shows; a part of nothing included."""
        return share_shown(total_thousandths, self.parts_thousandths, is_by_weight=self.is_by_weight)

    @property
    def _recipe(self) -> Recipe | None:
        return _recipe(self.ratio, self.names, self.densities)

    @property
    def is_as_asked(self) -> bool:
        """Whether the parts are those of the ratio asked for, to the thousandth or as a cup shows them."""
        recipe = self._recipe
        return recipe is not None and _is_split(recipe, self.parts_thousandths)

    @property
    def true_ratio(self) -> str:
        """The ratio of the parts as they are, in the terms of the one asked for; "" of a single part.

        400 and 200 ml under "2 : 1" are that; 400 and 177 ml are "2 : 0.885"; 60 g and 1.2 g are "100 : 2 by weight".
        """
        if self.is_as_asked and not self.is_by_weight:
            return self.ratio
        first = self.parts_thousandths[0] if self.parts_thousandths else 0
        if len(self.parts_thousandths) < 2 or first <= 0:
            return ""
        unit = Fraction(100) if self.is_by_weight else _first_of(self.ratio)
        said = " : ".join(say_parts(unit * part / first) for part in self.parts_thousandths)
        return f"{said} by weight" if self.is_by_weight else said

    @property
    def warnings(self) -> tuple[str, ...]:
        """A sentence for each part more than 5 % from its own amount, which is what the ratio asks beside the first.

        400 ml at 2 : 1 ask for 200 ml beside them: 190 to 210 ml say nothing. Of filler, the share of its hardener.
        """
        first = self.parts_thousandths[0] if self.parts_thousandths else 0
        if first <= 0 or self.is_as_asked:
            return ()
        if self.is_by_weight:
            return _weight_warnings(self.parts_thousandths)
        recipe = self._recipe
        if recipe is None:
            return ()
        asked = [volume / recipe.volumes[0] * first for volume in recipe.volumes]
        found = zip(self.names[1:], self.parts_thousandths[1:], asked[1:], strict=True)
        return tuple(_part_words(self.ratio, name, part, own) for name, part, own in found if _is_off(part, own))


def share_shown(total_thousandths: int, parts: Sequence[int], *, is_by_weight: bool = False) -> tuple[int, ...]:
    """A whole shared like `parts`, in whole ml as a cup shows or tenths of a gram as a scale does, so that they sum to
    it as printed too; to the thousandth where a part would come to nothing."""
    step = SCALE_STEP_THOUSANDTHS if is_by_weight else CUP_STEP_THOUSANDTHS
    exact = share_out(total_thousandths, parts)
    if total_thousandths % step:
        return tuple(exact)
    shown = share_out(total_thousandths // step, parts)
    is_kept = all(own == 0 or part > 0 for own, part in zip(exact, shown, strict=True))
    return tuple(part * step for part in shown) if is_kept else tuple(exact)


def pour_lines(
    ratio: str, names: Sequence[str], parts_thousandths: Sequence[int], densities: Sequence[float | None]
) -> tuple[MixLine, ...]:
    """The pours of a mix by volume, in order; parts are thousandths of ml, densities g/ml, None where unknown.

    Where the parts are those of the ratio the cup line is the ratio's ("to 5"); where somebody changed them it is the
    level in ml. A part of nothing is left out.
    """
    recipe = _recipe(ratio, names, densities)
    total = sum(parts_thousandths)
    if recipe is not None and _is_split(recipe, parts_thousandths):
        return mix_lines(recipe, total)
    lines = []
    level, grams = 0, 0.0
    is_weighed = True
    for name, part, density in zip(names, parts_thousandths, densities, strict=True):
        if part == 0:
            continue
        level += part
        is_weighed = is_weighed and density is not None
        grams += part * (density or 0.0)
        shown = round(grams / 100) * 100 if is_weighed else None
        lines.append(MixLine(name, part, level, f"to {say_ml(level)}", shown))
    return tuple(lines)


def weigh_lines(names: Sequence[str], parts_thousandths: Sequence[int]) -> tuple[MixLine, ...]:
    """The parts of a mix by weight, thousandths of g: what the scale shows after each, and no cup line."""
    lines, level = [], 0
    for name, part in zip(names, parts_thousandths, strict=True):
        if part:
            level += part
            lines.append(MixLine(name, part, level, "", level))
    return tuple(lines)


def _recipe(ratio: str, names: Sequence[str], densities: Sequence[float | None]) -> Recipe | None:
    try:
        recipe = parse_ratio(ratio, names, densities)
    except RuleBroken:
        return None
    return recipe if len(recipe.names) == len(names) else None


def _first_of(ratio: str) -> Fraction:
    """The paint's own figure of a ratio, also where a part was added or removed since; 1 where there is none."""
    try:
        return read_part(ratio.split(":")[0])
    except RuleBroken:
        return Fraction(1)


def _is_split(recipe: Recipe, parts: Sequence[int]) -> bool:
    total = sum(parts)
    return total > 0 and tuple(parts) in {split_thousandths(recipe, total), split_shown(recipe, total)}


def _is_off(part: int, own: Fraction) -> bool:
    return abs(part - own) * 100 > own * PART_OFF_PERCENT


def _part_words(ratio: str, name: str, part: int, own: Fraction) -> str:
    low, high = (own * (100 + off) / 100_000 for off in (-PART_OFF_PERCENT, PART_OFF_PERCENT))
    return (
        f"{name}: {say_ml(part)}, but {ratio} asks for {say_ml(round(own))} "
        f"({math.ceil(low)} to {math.floor(high)} ml). Check the data sheet before you mix."
    )


def _weight_warnings(parts: Sequence[int]) -> tuple[str, ...]:
    """Of filler with its hardener: under 1 % stays soft, over 3 % bleeds."""
    said = hardener_warning(parts[1] * 100 / parts[0]) if len(parts) == 2 else None
    return (said,) if said else ()
