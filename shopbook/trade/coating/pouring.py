"""A planned mix as it is poured: each part's amount, the level or weight after it, from whatever the plan now says."""

from collections.abc import Sequence
from dataclasses import dataclass

from shopbook.trade.coating.mixing import MixLine, mix_lines, say_ml
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import share_out
from shopbook.trade.measures.ratios import Recipe, parse_ratio, split_thousandths


@dataclass(frozen=True, slots=True)
class Pouring:
    """What a mix is poured from: thousandths of ml (or of g, by weight) of each part, and g/ml, None where unknown."""

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
        parts = share_out(total, self.parts_thousandths)
        if self.is_by_weight:
            return weigh_lines(self.names, parts)
        recipe = _recipe(self.ratio, self.names, self.densities)
        if recipe and split_thousandths(recipe, self.total_thousandths) == self.parts_thousandths:
            return mix_lines(recipe, total)
        return pour_lines(self.ratio, self.names, parts, self.densities)

    def parts(self, total_thousandths: int) -> tuple[int, ...]:
        """Thousandths of each part in another whole, a part of nothing included."""
        return tuple(share_out(total_thousandths, self.parts_thousandths))


def pour_lines(
    ratio: str, names: Sequence[str], parts_thousandths: Sequence[int], densities: Sequence[float | None]
) -> tuple[MixLine, ...]:
    """The pours of a mix by volume, in order; parts are thousandths of ml, densities g/ml, None where unknown.

    Where the parts are those of the ratio the cup line is the ratio's ("to 5"); where somebody changed them it is the
    level in ml. A part of nothing is left out.
    """
    recipe = _recipe(ratio, names, densities)
    total = sum(parts_thousandths)
    if recipe is not None and total > 0 and split_thousandths(recipe, total) == tuple(parts_thousandths):
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
