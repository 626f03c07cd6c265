"""The head of a paper of money, from the plain values that the book knows or that an issued paper kept."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from shopbook.documents.head import Head
from shopbook.trade.measures.amounts import format_minor
from shopbook.trade.measures.locales import ENGLISH

Frozen = Mapping[str, Any]  # what a paper kept of its own making is JSON, of whatever types that holds


def head_of(known: Frozen, kind: str, number: str, facts: Sequence[tuple[str, str]]) -> Head:
    """`known` is what `queries.money.heads.get_head` answers, now or when the paper was issued."""
    return Head(
        kind=kind,
        number=number,
        shop=known["shop"],
        shop_lines=tuple(line for line in known["shop_lines"] if line),
        facts=tuple(facts),
        to=known["to"],
        to_lines=tuple(known["to_lines"]),
        car=known["car"],
        car_lines=tuple(known["car_lines"]),
        hex=known["car_hex"],
        paper_size=known["paper_size"],
    )


def plain_of(known: Frozen) -> Callable[[int], str]:
    """How the paper of a head writes its amounts, without a sign; a head kept before it named a locale is English."""
    return lambda minor: format_minor(minor, known["places"], locale=known.get("locale", ENGLISH))
