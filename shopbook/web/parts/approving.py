"""Who approves and how, as a form asks it: nothing is chosen beforehand, and no name is typed by the program."""

from typing import Any

from wtforms import ValidationError
from wtforms.fields import RadioField

from shopbook.trade.agreeing.words import ApprovalMeans
from shopbook.web.parts.forms import Choices, choices

CUSTOMER, SOMEBODY = "customer", "other"


class ChosenField(RadioField):
    """One of a few choices, none of them chosen beforehand; `sentence` is said where none is."""

    def __init__(self, label: str, sentence: str, offered: Choices, **bound: Any) -> None:  # as WTForms binds it
        super().__init__(label, choices=offered, **bound)
        self.sentence = sentence

    def pre_validate(self, form: object) -> None:
        if self.data not in {each[0] for each in self.iter_choices()}:
            raise ValidationError(self.sentence)


def customer_choices(name: str) -> Choices:
    """The customer by name as one press, or whoever else, whose name is typed; only that without a name."""
    known = {CUSTOMER: name} if name else {}
    return choices(known | {SOMEBODY: "Someone else"})


def approver(whose: str | None, typed: str | None, customer_name: str) -> str:
    """Who approves: the name typed, else the customer if that was pressed; empty where neither was done."""
    return (typed or "").strip() or (customer_name if whose == CUSTOMER else "")


def means_meant(means: str | None, signature: str | None, typed: str | None) -> str:
    """A name typed with nothing drawn, where a signature was meant: the typed name is the signature."""
    is_typed = means == ApprovalMeans.SIGNED and not (signature or "").strip() and bool((typed or "").strip())
    return ApprovalMeans.TYPED if is_typed else str(means or "")
