"""A setting is readable where its name is known and its value is of the kind that it must be."""

from typing import Any

import pytest

from shopbook.trade.setting_values import is_readable
from shopbook.trade.settings import DEFAULTS


@pytest.mark.parametrize(("name", "value"), DEFAULTS.items())
def test_every_default_is_readable(name: str, value: Any) -> None:
    assert is_readable(name, value)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("nonsense", 1),
        ("lunch", ["12:30", "12:00"]),
        ("lunch", ["noon", "one"]),
        ("opening_hours", {"7": ["08:00", "17:00"]}),
        ("opening_hours", {"0": ["17:00", "08:00"]}),
        ("opening_hours", []),
        ("materials_rule", "by_moon"),
        ("materials_rule", ""),
        ("deposit_treatment", None),
        ("backup_days", True),
        ("backup_days", "30"),
        ("has_lamp", 1),
        ("must_bring_minor", "7000"),
        ("car_sides", "upside_down"),
    ],
)
def test_what_no_page_could_have_saved_is_not_readable(name: str, value: Any) -> None:
    assert not is_readable(name, value)
