"""Whole numbers in addresses: none larger than a number of the book can be, so that no database is asked in vain."""

from collections.abc import Iterable

from werkzeug.routing import IntegerConverter, Map

LARGEST = 2**31 - 1
"""What an `Integer` column holds on both databases."""


class KeyConverter(IntegerConverter):
    """`<int:…>` of an address: a larger number is no address of ours (404)."""

    def __init__(self, url_map: Map, fixed_digits: int = 0) -> None:
        super().__init__(url_map, fixed_digits=fixed_digits, max=LARGEST)


def as_key(text: str) -> int:
    """A key from a query string or a form, for `request.args.get(…, type=as_key)`.

    ValueError, which leaves the argument out, for what is no number or a larger one.
    """
    number = int(text)
    if not 0 <= number <= LARGEST:
        raise ValueError("no number of the book")
    return number


def key_or_none(typed: object) -> int | None:
    """A key from a form's hidden field or choice; None for anything else."""
    text = str(typed or "")
    is_number = text.isdecimal() and len(text) <= len(str(LARGEST)) and int(text) <= LARGEST
    return int(text) if is_number else None


def keys_among(typed: Iterable[object] | None) -> list[int]:
    """The keys among a form's choices."""
    return [key for key in map(key_or_none, typed or ()) if key is not None]
