"""What kind of coating a mix is in the eyes of air rules, by what went into it, and the limit set for its maker."""

from collections.abc import Iterable
from enum import StrEnum

from shopbook.trade.air.voc import LIMITS, Limit


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
    Category.PRIMER: "Primer and surfacer",
    Category.SEALER: "Sealer",
    Category.BASE: "Base",
    Category.MIDCOAT: "Mid coat",
    Category.CLEAR: "Clear",
    Category.SPECIALTY: "Specialty coating",
    Category.CLEANING: "Thinner and cleaners, as taken from the shelf",
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

_US: dict[Category, str] = {
    Category.WASH_PRIMER: "us_wash_primer",
    Category.PRIMER: "us_primer",
    Category.SEALER: "us_sealer",
    Category.SPECIALTY: "us_specialty",
}
_EU: dict[Category, str] = {
    Category.WASH_PRIMER: "eu_wash_primer",
    Category.PRIMER: "eu_primer",
    Category.SEALER: "eu_primer",
    Category.BASE: "eu_topcoat",
    Category.MIDCOAT: "eu_topcoat",
    Category.CLEAR: "eu_topcoat",
    Category.SPECIALTY: "eu_special",
}


def category_of(roles: Iterable[str]) -> Category:
    """The category of a mix from the roles poured into it, the first that names one."""
    return next((_BY_ROLE[role] for role in roles if role in _BY_ROLE), Category.OTHER)


def limit_of(category: Category, *, is_us: bool) -> Limit | None:
    """The limit for a mix of one category; None for what is judged as a whole with its clear, or not at all."""
    return _limit((_US if is_us else _EU).get(category))


def topcoat_limit(midcoats: int) -> Limit:
    """The limit of the United States for a topcoat laid in stages: base and clear, or with mid coats between."""
    found = _limit("us_topcoat_three" if midcoats else "us_topcoat")
    assert found is not None
    return found


def _limit(code: str | None) -> Limit | None:
    return next((limit for limit in LIMITS if limit.code == code), None)
