"""What kind of coating a mix is in the eyes of air rules, by what went into it, and the limit set for its maker."""

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from typing import Any

from shopbook.trade.air.voc import Limit


class Category(StrEnum):
    """A kind of coating in the air record."""

    WASH_PRIMER = "wash_primer"
    PRIMER = "primer"
    SEALER = "sealer"
    BASE = "base"
    MIDCOAT = "midcoat"
    CLEAR = "clear"
    SPECIALTY = "specialty"
    CLEANING = "cleaning"
    OTHER = "other"


CATEGORY_WORDS: dict[str, str] = {
    Category.WASH_PRIMER: "Wash primer",
    Category.PRIMER: "Primers",
    Category.SEALER: "Sealer",
    Category.BASE: "Base",
    Category.MIDCOAT: "Mid coat",
    Category.CLEAR: "{Clear}",
    Category.SPECIALTY: "Specialty coating",
    Category.CLEANING: "Cleaning solvents, as taken from the shelf",
    Category.OTHER: "Other",
}

_BY_ROLE: dict[str, Category] = {
    "etch": Category.WASH_PRIMER,
    "epoxy": Category.PRIMER,
    "surfacer": Category.PRIMER,
    "sealer": Category.SEALER,
    "promoter": Category.SPECIALTY,
    "base_blender": Category.BASE,
    "colour": Category.BASE,
    "ground_colour": Category.BASE,
    "mid_colour": Category.MIDCOAT,
    "touch_in": Category.BASE,
    "clear": Category.CLEAR,
    "matt_clear": Category.CLEAR,
}
"""Adhesion promoters count as specialty coatings in 40 CFR 59.101; the rest is by the kinds' own names."""

CLEANING_ROLES = frozenset({"gun_thinner", "gun_cleaner_water", "degreaser", "plastic_cleaner"})
"""Solvent that is used outside any mix; gun thinner becomes waste, the others go into the air."""

WASTE_ROLES = frozenset({"gun_thinner"})


def category_of(roles: Iterable[str]) -> Category:
    """The category of a mix from the roles poured into it, the first that names one."""
    return next((_BY_ROLE[role] for role in roles if role in _BY_ROLE), Category.OTHER)


def read_limits(told: Mapping[str, Any]) -> tuple[Limit, ...]:
    """The limits of a country's file: its `rule` and a row for each; ValueError for an unknown kind of coating."""
    return tuple(
        Limit(
            code=row["code"],
            name=row["name"],
            g_per_l=row["g_per_l"],
            lb_per_gallon=row.get("lb_per_gallon"),
            rule=told["rule"],
            sure_percent=row["sure_percent"],
            categories=tuple(Category(each) for each in row.get("categories", ())),
            topcoat_stages=row.get("topcoat_stages"),
        )
        for row in told.get("limits", ())
    )


def limit_of(category: Category, limits: Sequence[Limit]) -> Limit | None:
    """The limit for a mix of one category; None for what is judged as a whole with its clear, or not at all."""
    return next((limit for limit in limits if category in limit.categories), None)


def topcoat_limit(midcoats: int, limits: Sequence[Limit]) -> Limit | None:
    """The limit for a topcoat laid in stages, base and clear or with mid coats between; None where none is set."""
    fitting = [limit for limit in limits if limit.topcoat_stages and limit.topcoat_stages <= midcoats + 2]
    return max(fitting, key=lambda limit: limit.topcoat_stages or 0, default=None)
