"""The words of a yes: who gives it, by what means, and why a quote came to nothing."""

from enum import StrEnum


class Party(StrEnum):
    """Two kinds of yes, kept apart: the car's owner lets the work be done, the payer accepts an amount."""

    CUSTOMER = "customer"
    PAYER = "payer"


class ApprovalMeans(StrEnum):
    """How a yes was given."""

    SIGNED = "signed"
    TYPED = "typed"
    IN_PERSON = "in_person"
    PHONE = "phone"
    TEXT = "text"
    MAIL = "mail"


MEANS_WORDS: dict[ApprovalMeans, str] = {
    ApprovalMeans.SIGNED: "signed on the shop’s phone",
    ApprovalMeans.TYPED: "name typed on the shop’s phone",
    ApprovalMeans.IN_PERSON: "in person",
    ApprovalMeans.PHONE: "by phone",
    ApprovalMeans.TEXT: "by text message",
    ApprovalMeans.MAIL: "by mail",
}


ASKED_WORDS: dict[str, str] = {"sent": "sent", "said": "said", "shown": "shown"}
"""How a price reached its customer. Nobody counts as asked before the desk says one of them."""


class QuoteKind(StrEnum):
    """A price from a look, a worked-out quote, or something found later with a yes of its own."""

    KERB = "kerb"
    QUOTE = "quote"
    EXTRA = "extra"


LOST_WORDS: dict[str, str] = {
    "price": "the price",
    "time": "the time it takes",
    "no_answer": "no answer came",
    "other": "something else",
}
"""Why a quote did not become work; kept as the job's reason for being called off."""

CALLED_OFF_WORDS: dict[str, str] = LOST_WORDS | {"sample": "it was the sample"}
"""Every reason that a job called off may carry as a code."""
