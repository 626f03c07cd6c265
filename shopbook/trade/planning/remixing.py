"""A planned mix changed as a whole (total, ratio, coats, area): its parts follow, to what cup and scale show."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from shopbook.trade.catalogue.entries import MixKind
from shopbook.trade.coating.film import ready_to_spray_ml
from shopbook.trade.coating.mixing import say_ml
from shopbook.trade.coating.pouring import Pouring, share_shown
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.quantities import LARGEST_THOUSANDTHS
from shopbook.trade.measures.ratios import Recipe, parse_ratio, split_shown
from shopbook.trade.planning.mixes import MixNeed, draft_mix, film_um
from shopbook.trade.planning.shapes import DraftMix
from shopbook.trade.planning.work import DraftBasis

MOST_COATS = 6
LARGEST_CM2 = 1_000_000
"""A hundred square metres."""


@dataclass(frozen=True, slots=True)
class MixChange:
    """What of a mix is to be otherwise; None leaves it. A typed total wins over what coats and area come to."""

    total_thousandths: int | None = None
    ratio: str | None = None
    coats: int | None = None
    area_cm2: int | None = None

    @property
    def is_of_film(self) -> bool:
        """Whether the need is computed anew."""
        return self.coats is not None or self.area_cm2 is not None


@dataclass(frozen=True, slots=True)
class Remixed:
    """The mix as the plan keeps it from now on, and thousandths of each part in the order they are poured."""

    told: Mapping[str, Any]
    parts_thousandths: tuple[int, ...]


def remix(setting: DraftBasis, told: Mapping[str, Any], pouring: Pouring, change: MixChange) -> Remixed:
    """A mix with its change; `told` is how the plan keeps it, `pouring` its parts as they are.

    Coats and area change the need in proportion, the loss in cup and gun stays: 2 coats over 1.00 m² need 270 ml and
    40 ml of loss, 310 ml; 3 coats 405 + 40, in steps of the cup 450 ml; over 0.50 m² 135 + 40, in steps 180 ml.
    RuleBroken beside the field for what cannot be.
    """
    _check(change)
    if pouring.is_by_weight:
        return Remixed(dict(told), _weighed(pouring, change))
    kind = setting.catalogue.mixes.get(str(told.get("code", "")))
    recipe = _recipe(change.ratio or pouring.ratio, pouring)
    body = dict(told)
    total = pouring.total_thousandths
    if change.is_of_film:
        drafted = _drafted(setting, kind, told, pouring, change)
        total = drafted.total_ml * 1000
        body |= {name: getattr(drafted, name) for name in _FROM_DRAFT}
    if change.total_thousandths is not None:
        total = change.total_thousandths
        body |= _typed(body, total)
    if recipe is None:
        return Remixed(body, share_shown(total, pouring.parts_thousandths))
    return Remixed(body | {"ratio": recipe.words, "total_ml": total // 1000}, split_shown(recipe, total))


_FROM_DRAFT = (
    "total_ml",
    "batches",
    "coats",
    "reason",
    "laid",
    "cups_ml",
    "cup_minutes",
    "area_cm2",
    "need_thousandths",
    "pot_life_minutes",
)


def steps_of(steps: Sequence[str], name: str, was: int, coats: int) -> list[str]:
    """The steps of a stage with a mix's own number of coats: "base, 2 coats" of the base becomes "base, 3 coats"."""
    pattern = re.compile(rf"^{re.escape(name.lower())}, {was} coats?\b")
    said = f"{name.lower()}, {coats} coat{'s' if coats != 1 else ''}"
    return [pattern.sub(lambda _: said, step) for step in steps]


def _drafted(
    setting: DraftBasis, kind: MixKind | None, told: Mapping[str, Any], pouring: Pouring, change: MixChange
) -> DraftMix:
    if kind is None:
        raise RuleBroken("This mix is no longer in the catalogue. Enter its total instead.", "coats")
    coats = change.coats or _coats_before(kind, told)
    area_cm2 = change.area_cm2 or int(told.get("area_cm2") or 0)
    need = MixNeed(_need_now(setting, kind, told, pouring, (coats, area_cm2)), area_cm2 / 10_000, coats)
    recipe = _recipe(change.ratio or pouring.ratio, pouring)
    if recipe is None:
        raise RuleBroken("Enter a ratio, for example 4:1:1 or 2:1 + 10 %.", "ratio")
    return draft_mix(setting, kind, recipe, need)[0]


def _coats_before(kind: MixKind, told: Mapping[str, Any]) -> int:
    return int(told.get("coats") or kind.coats)


def _need_now(
    setting: DraftBasis, kind: MixKind, told: Mapping[str, Any], pouring: Pouring, film: tuple[int, int]
) -> float:
    """ml without loss for (coats, cm²): in proportion to what was planned, or anew where its area was not kept."""
    coats, area_cm2 = film
    was_cm2 = int(told.get("area_cm2") or 0)
    if was_cm2:
        return _need_ml(kind, told, pouring) * coats / _coats_before(kind, told) * area_cm2 / was_cm2
    if not area_cm2:
        raise RuleBroken("Enter the area too: this plan was drafted before the area of a mix was kept.", "area")
    solids, transfer = kind.solids_permille / 1000, setting.number("transfer_single")
    return ready_to_spray_ml(area_cm2 / 10_000, film_um(kind, coats), solids, transfer, 0)


def _need_ml(kind: MixKind, told: Mapping[str, Any], pouring: Pouring) -> float:
    kept = int(told.get("need_thousandths") or 0)
    lost = kind.loss_ml * 1000 * int(told.get("batches") or 1)
    return (kept or max(pouring.total_thousandths - lost, 1000)) / 1000


def _typed(body: Mapping[str, Any], total: int) -> dict[str, Any]:
    """What a typed total does to what the plan says: the mixes that the pot life asks for keep their shares."""
    cups = share_shown(total, list(body.get("cups_ml") or ()))
    computed = int(body.get("total_ml") or 0) * 1000
    said = f"{say_ml(total)} as typed" + (f", {say_ml(computed)} computed." if computed != total else ".")
    kept = re.sub(r"^[^.]* as typed[^.]*\. ?", "", str(body.get("reason", "")))
    return {"cups_ml": [ml // 1000 for ml in cups], "reason": f"{said} {kept}".strip()}


def _weighed(pouring: Pouring, change: MixChange) -> tuple[int, ...]:
    if change.is_of_film:
        raise RuleBroken("What is weighed has no coats. Enter its total in grams.", "coats")
    parts = list(pouring.parts_thousandths)
    if change.ratio is not None:
        recipe = _recipe(change.ratio.removesuffix("by weight").strip(), pouring)
        parts = [round(volume * 1_000_000) for volume in recipe.volumes] if recipe else parts
    total = pouring.total_thousandths if change.total_thousandths is None else change.total_thousandths
    return share_shown(total, parts, is_by_weight=True)


def _recipe(ratio: str, pouring: Pouring) -> Recipe | None:
    if not ratio.strip() and len(pouring.names) == 1:
        return parse_ratio("1", pouring.names)
    if ":" not in ratio and len(pouring.names) > 1:
        return None
    recipe = parse_ratio(ratio, pouring.names, pouring.densities)
    if len(recipe.names) != len(pouring.names):
        many = len(pouring.names)
        raise RuleBroken(f"This mix has {many} materials. Enter a ratio of {many}, or add the material first.", "ratio")
    return recipe


def _check(change: MixChange) -> None:
    if change.total_thousandths is not None and not 0 < change.total_thousandths <= LARGEST_THOUSANDTHS:
        raise RuleBroken("Enter an amount to mix above zero, for example 400.", "total")
    if change.coats is not None and not 1 <= change.coats <= MOST_COATS:
        raise RuleBroken(f"Enter 1 to {MOST_COATS} coats.", "coats")
    if change.area_cm2 is not None and not 0 < change.area_cm2 <= LARGEST_CM2:
        raise RuleBroken("Enter an area above zero, for example 1.2.", "area")
