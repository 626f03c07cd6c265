"""What a mix is made of: parts by volume, additives by percent, and the exact share of each in the whole."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.amounts import share_out

_SIGNS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3"}
_SIGN_OF = {Fraction(text): sign for sign, text in _SIGNS.items()}
_MOST_PART = 1000


class PercentOf(StrEnum):
    """What a percent is of, for sheets differ: the paint alone, all that was mixed before, or the finished mix."""

    PAINT = "paint"
    MIXED = "mixed"
    FINAL = "final"


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a ratio by volume; the density in g/ml is None where nobody has typed it yet."""

    name: str
    parts: Fraction
    density_g_per_ml: float | None = None


@dataclass(frozen=True, slots=True)
class Additive:
    """Something added by percent of volume, and what the percent is of."""

    name: str
    percent: Fraction
    percent_of: PercentOf
    density_g_per_ml: float | None = None


@dataclass(frozen=True, slots=True)
class Recipe:
    """Parts in the order they are poured, the paint first, then additives. Build one with `recipe_of`."""

    parts: tuple[Part, ...]
    additives: tuple[Additive, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """What is poured, in order."""
        return (*(part.name for part in self.parts), *(each.name for each in self.additives))

    @property
    def densities(self) -> tuple[float | None, ...]:
        """g/ml of each, in order; None where unknown."""
        return (*(part.density_g_per_ml for part in self.parts), *(each.density_g_per_ml for each in self.additives))

    @property
    def volumes(self) -> tuple[Fraction, ...]:
        """Each one's volume in units of the ratio: 4:1:1 with 10 % of the paint is 4, 1, 1, 0.4."""
        mixed = sum((part.parts for part in self.parts), Fraction(0))
        of = {PercentOf.PAINT: self.parts[0].parts, PercentOf.MIXED: mixed}
        plain = sum(
            (each.percent * of[each.percent_of] for each in self.additives if each.percent_of in of), Fraction(0)
        )
        of[PercentOf.FINAL] = (mixed + plain / 100) / (1 - self.percent_of_final / 100)
        added = [each.percent * of[each.percent_of] / 100 for each in self.additives]
        return (*(part.parts for part in self.parts), *added)

    @property
    def percent_of_final(self) -> Fraction:
        """What of the final mix is added by percent of it."""
        return sum((each.percent for each in self.additives if each.percent_of is PercentOf.FINAL), Fraction(0))

    @property
    def words(self) -> str:
        """The ratio as it is said: "4 : 1 : ½ + 10 %"."""
        plain = " : ".join(say_parts(part.parts) for part in self.parts)
        return plain + "".join(f" + {say_parts(each.percent)} %" for each in self.additives)


def recipe_of(parts: Sequence[Part], additives: Sequence[Additive] = ()) -> Recipe:
    """A recipe, checked: RuleBroken for no part, a first part of zero, anything below zero, percent of 100 or
    more of the final mix, or a density that no liquid has."""
    if not parts or parts[0].parts <= 0:
        raise RuleBroken("Enter the paint first, with a part above zero, for example 4:1:1.", "ratio")
    if any(not 0 <= part.parts <= _MOST_PART for part in parts):
        raise RuleBroken(f"Enter each part of the ratio between 0 and {_MOST_PART}.", "ratio")
    if any(not 0 <= each.percent <= _MOST_PART for each in additives):
        raise RuleBroken("Enter zero or more percent to add.", "percent")
    recipe = Recipe(tuple(parts), tuple(additives))
    if recipe.percent_of_final >= 100:
        raise RuleBroken("Enter less than 100 % of the final mix to add.", "percent")
    if not all(map(_is_of_a_liquid, recipe.densities)):
        raise RuleBroken("Enter a density between 0.3 and 5 g/ml.", "density")
    return recipe


def _is_of_a_liquid(density: float | None) -> bool:
    return density is None or 0.3 <= density <= 5


def parse_ratio(
    text: str,
    names: Sequence[str] = ("paint", "hardener", "reducer"),
    densities: Sequence[float | None] = (),
    percent_of: PercentOf = PercentOf.MIXED,
) -> Recipe:
    """A recipe from what is printed on a can: "4:1:1", "4:1:½", "2:1 + 10 %". `percent_of` says what a percent is of.

    Names beyond those given are numbered. Raises RuleBroken when it cannot be read.
    """
    plain, *percents = re.split(r"\+", text)
    pieces = [read_part(piece) for piece in plain.split(":")]
    added = [read_part(piece.replace("%", "")) for piece in percents]
    if any("%" not in piece for piece in percents):
        raise RuleBroken("Enter a ratio, for example 4:1:1 or 2:1 + 10 %.", "ratio")
    called = [*names, *(f"part {n + 1}" for n in range(len(names), len(pieces) + len(added)))]
    heavy = [*densities, *[None] * len(called)]
    parts = [Part(*each) for each in zip(called, pieces, heavy, strict=False)]
    rest = zip(called[len(pieces) :], added, heavy[len(pieces) :], strict=False)
    return recipe_of(parts, [Additive(name, percent, percent_of, density) for name, percent, density in rest])


def read_part(text: str) -> Fraction:
    """A number of parts as typed: "4", "0.5", "0,5", "1/2", "½", "1½"; RuleBroken for anything else."""
    plain = re.sub(r"\s", "", text).replace(",", ".")
    for sign, spelled in _SIGNS.items():
        plain = plain.replace(sign, f"+{spelled}")
    try:
        pieces = [Fraction(piece) for piece in plain.split("+") if piece]
    except (ValueError, ZeroDivisionError):
        pieces = []
    if not pieces or len(plain) > 20:
        raise RuleBroken("Enter a ratio, for example 4:1:1 or 2:1 + 10 %.", "ratio")
    return sum(pieces, Fraction(0))


def say_parts(value: Fraction) -> str:
    """A number of parts as painters write it: 4, ½, 1½, 0.4."""
    whole, rest = divmod(value, 1)
    if rest == 0:
        return str(whole)
    if rest in _SIGN_OF:
        return f"{whole or ''}{_SIGN_OF[rest]}"
    return f"{float(value):.3g}"


def split_thousandths(recipe: Recipe, total_thousandths: int) -> tuple[int, ...]:
    """`total_thousandths` of ml as whole thousandths by part; they sum to it exactly."""
    if total_thousandths <= 0:
        raise RuleBroken("Enter an amount to mix above zero.", "total")
    volumes = recipe.volumes
    common = math.lcm(*(volume.denominator for volume in volumes))
    return tuple(share_out(total_thousandths, [int(volume * common) for volume in volumes]))


def split_shown(recipe: Recipe, total_thousandths: int) -> tuple[int, ...]:
    """The same in what a cup shows, whole ml, so that the parts sum to the whole as printed too: 100 ml of 4:1:1 are
    66, 17 and 17.

    Where a part would round to nothing, or the whole is no whole ml, they are exact to the thousandth instead.
    """
    exact = split_thousandths(recipe, total_thousandths)
    whole, over = divmod(total_thousandths, 1000)
    if over or whole <= 0:
        return exact
    shown = share_out(whole, exact)
    return tuple(part * 1000 for part in shown) if all(map(_is_kept, exact, shown)) else exact


def _is_kept(exact: int, shown: int) -> bool:
    return exact == 0 or shown > 0


def density_g_per_ml(recipe: Recipe) -> float | None:
    """The mix's density as the mean by volume; None while one part's is unknown."""
    weighed = [(float(v), d) for v, d in zip(recipe.volumes, recipe.densities, strict=True) if d is not None]
    if len(weighed) < len(recipe.names):
        return None
    return sum(v * d for v, d in weighed) / sum(v for v, _ in weighed)
