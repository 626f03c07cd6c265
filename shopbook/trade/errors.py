"""The one tree of errors: a broken rule carries a finished sentence for the person in front of the screen.

ShopbookError
├── RuleBroken   what was asked for breaks a rule of the shop or the trade (page: 422, beside the field)
├── NotFound     no such thing (page: 404)
├── Conflict     somebody else changed it meanwhile, or it was done already (page: 409)
│   └── Undecided   it can be meant in two ways, and the person says which (page: 409)
└── NotAllowed   this person may not do it (page: 403)
"""

from collections.abc import Mapping


class ShopbookError(Exception):
    """The root; `sentence` is shown to a person as it stands."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class RuleBroken(ShopbookError):
    """A rule is broken; `field` names the form field that the sentence belongs beside, if there is one."""

    def __init__(self, sentence: str, field: str | None = None) -> None:
        super().__init__(sentence)
        self.field = field


class NotFound(ShopbookError):
    """There is no such thing in the book."""


class Conflict(ShopbookError):
    """It was changed or done meanwhile; look again before pressing again."""


class Undecided(Conflict):
    """It can be meant in two ways: `choices` are the values of `field` and the words of their buttons."""

    def __init__(self, sentence: str, field: str, choices: Mapping[str, str]) -> None:
        super().__init__(sentence)
        self.field, self.choices = field, choices


class NotAllowed(ShopbookError):
    """The person at the screen may not do this."""
