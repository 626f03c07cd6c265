"""Reads one plain value as the type that an entry's field asks for, with a sentence where it is not that."""

import math
from collections.abc import Mapping
from enum import StrEnum
from types import UnionType
from typing import Any, get_args, get_origin

from shopbook.trade.errors import RuleBroken

LONGEST_TEXT = 500


def read_value(hint: Any, raw: Any, where: str) -> Any:
    """`raw` as `hint` asks; `where` names the field in the sentence of a RuleBroken."""
    if isinstance(hint, UnionType):
        return None if raw is None else read_value(get_args(hint)[0], raw, where)
    origin = get_origin(hint)
    if origin is tuple:
        return _read_tuple(hint, raw, where)
    if origin is not None and issubclass(origin, Mapping):
        return _read_mapping(get_args(hint)[1], raw, where)
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return _read_choice(hint, raw, where)
    return _read_plain(hint, raw, where)


def plain_value(value: Any) -> Any:
    """A field's value as JSON can hold it."""
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, tuple):
        return [plain_value(each) for each in value]
    if isinstance(value, Mapping):
        return {key: plain_value(each) for key, each in value.items()}
    return value


def check_range(value: Any, least: float | None, most: float | None, where: str) -> None:
    """RuleBroken where a number lies outside its bounds; anything that is no number passes."""
    if value is None or least is None or most is None:
        return
    if not least <= value <= most:
        raise RuleBroken(f"{where} must be between {least} and {most}, not {value:g}.", where)


def _read_tuple(hint: Any, raw: Any, where: str) -> tuple[Any, ...]:
    if not isinstance(raw, list | tuple):
        raise RuleBroken(f"{where} must be a list.", where)
    inside = get_args(hint)
    if len(inside) == 2 and inside[1] is Ellipsis:
        return tuple(read_value(inside[0], each, where) for each in raw)
    if len(raw) != len(inside):
        raise RuleBroken(f"{where} must hold {len(inside)} values each.", where)
    return tuple(read_value(each, value, where) for each, value in zip(inside, raw, strict=True))


def _read_mapping(hint: Any, raw: Any, where: str) -> dict[str, Any]:
    if not isinstance(raw, Mapping):
        raise RuleBroken(f"{where} must be a table of names and figures.", where)
    found = {str(key): read_value(hint, value, where) for key, value in raw.items()}
    if any(isinstance(value, int | float) and value < 0 for value in found.values()):
        raise RuleBroken(f"{where} must be zero or more everywhere.", where)
    return found


def _read_choice(hint: type[StrEnum], raw: Any, where: str) -> StrEnum:
    try:
        return hint(raw)
    except ValueError:
        raise RuleBroken(f"{where} must be one of {', '.join(hint)}, not {raw!r}.", where) from None


def _fits(hint: Any, raw: Any) -> bool:
    """Whether a plain value is of the kind that is wanted; true and false are no numbers."""
    if isinstance(raw, bool):
        return hint is bool
    if hint is float:
        return isinstance(raw, int | float) and math.isfinite(raw)
    return isinstance(raw, hint) and (hint is not str or len(raw) <= LONGEST_TEXT)


def _read_plain(hint: Any, raw: Any, where: str) -> Any:
    if _fits(hint, raw):
        return float(raw) if hint is float else raw
    words = {float: "a number", int: "a whole number", bool: "true or false", str: "text of at most 500 letters"}
    raise RuleBroken(f"{where} must be {words[hint]}.", where)
