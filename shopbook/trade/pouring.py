"""A planned mix as it is poured: each part's amount, the level or weight after it, from whatever the plan now says."""

from collections.abc import Sequence

from shopbook.trade.errors import RuleBroken
from shopbook.trade.mixing import MixLine, mix_lines, say_ml
from shopbook.trade.ratios import Recipe, parse_ratio, split_thousandths


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
