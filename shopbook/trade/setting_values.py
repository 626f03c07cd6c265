"""Whether a setting's kept value is one that the program can read: its name known, its value of the kind it must be."""

from collections.abc import Callable, Mapping
from datetime import time
from enum import StrEnum
from typing import Any

from shopbook.trade.billing.deposits import DepositRule
from shopbook.trade.car.sides import SideWay
from shopbook.trade.diary.opening import DayHours
from shopbook.trade.errors import RuleBroken
from shopbook.trade.pricing.materials import MaterialsRule
from shopbook.trade.results.tax_basis import TaxBasis
from shopbook.trade.settings import DEFAULTS, SettingName


def is_readable(name: str, value: Any) -> bool:
    """Whether a setting of that name may hold that value; False for a name that no setting has."""
    try:
        known = SettingName(name)
        return _READS.get(known, _like(DEFAULTS[known]))(value)
    except (AttributeError, KeyError, TypeError, ValueError, RuleBroken):
        return False


def _like(default: Any) -> Callable[[Any], bool]:
    """The kind of the default; an amount that nobody set is None until somebody does."""
    if default is None:
        return lambda value: value is None or _is_whole(value)
    return _is_whole if _is_whole(default) else lambda value: isinstance(value, type(default))


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_week(value: Mapping[str, list[str]]) -> bool:
    """{"0": ["08:00", "17:00"], …}: the weekdays on which the shop opens."""
    for day, (opens, closes) in value.items():
        DayHours(time.fromisoformat(opens), time.fromisoformat(closes))
        if day not in set("0123456"):
            return False
    return True


def _is_lunch(value: list[str]) -> bool:
    """["12:00", "12:30"], or nothing."""
    ends = [time.fromisoformat(end) for end in value]
    return not ends or (len(ends) == 2 and ends[0] < ends[1])


def _word_of(kind: type[StrEnum], *, may_be_empty: bool = False) -> Callable[[Any], bool]:
    return lambda value: (may_be_empty and value == "") or value in {word.value for word in kind}


_READS: Mapping[SettingName, Callable[[Any], bool]] = {
    SettingName.OPENING_HOURS: _is_week,
    SettingName.LUNCH: _is_lunch,
    SettingName.DEPOSIT_TREATMENT: _word_of(DepositRule),
    SettingName.CAR_SIDES: lambda value: value is None or _word_of(SideWay, may_be_empty=True)(value),
    SettingName.TAX_BASIS: lambda value: value is None or _word_of(TaxBasis, may_be_empty=True)(value),
    SettingName.MATERIALS_RULE: _word_of(MaterialsRule),
    SettingName.MATERIALS_RULE_DEALER: _word_of(MaterialsRule, may_be_empty=True),
    SettingName.MATERIALS_RULE_FLEET: _word_of(MaterialsRule, may_be_empty=True),
    SettingName.MATERIALS_RULE_INSURER: _word_of(MaterialsRule, may_be_empty=True),
}
