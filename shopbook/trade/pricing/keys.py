"""The keys that an item and a quote draw with themselves, for lines that no row of their own stands for.

A line of a quote draws its key from the job's counter when it is written. What is worked out from other figures (a
price typed over an item that has no line, what an extra panel saves, a discount, hours beyond an estimate) takes its
key from a block that its item or its quote drew when it was first written, so that it is the same line on every
invoice.
"""

from shopbook.trade.catalogue.kinds import Skill

ITEM_KEYS = 2
QUOTE_KEYS = 8
_BEYOND = {Skill.BODY: 1, Skill.PAINT: 2, Skill.DETAIL: 3}
"""Places in a quote's block; never renumbered, since issued lines hold the keys."""


def item_key(first: int) -> int:
    """The item itself, and its one line where a price was typed and nothing says what it is for."""
    return first


def saving_key(first: int) -> int:
    """What the item saves as an extra panel."""
    return first + 1


def discount_key(first: int) -> int:
    """The discount of the whole quote."""
    return first


def beyond_key(first: int, skill: str) -> int:
    """Hours of a skill beyond the estimate."""
    return first + _BEYOND[Skill(skill)]
