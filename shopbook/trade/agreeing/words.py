"""The words of an approval: who gives it and how, and why an estimate was lost."""

from enum import StrEnum


class Party(StrEnum):
    """Two approvals, kept apart: the customer approves the work, the payer approves an amount."""

    CUSTOMER = "customer"
    PAYER = "payer"


class ApprovalMeans(StrEnum):
    """How an approval was given."""

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
    ApprovalMeans.MAIL: "by email",
}


ASKED_WORDS: dict[str, str] = {"sent": "sent", "said": "said", "shown": "shown"}
"""How a price reached its customer. Nobody counts as asked before the desk enters one of them."""


class QuoteKind(StrEnum):
    """A quick estimate, a worked-out estimate, or extra work found later with an approval of its own."""

    KERB = "kerb"
    QUOTE = "quote"
    EXTRA = "extra"


LOST_WORDS: dict[str, str] = {
    "price": "price too high",
    "time": "takes too long",
    "no_answer": "no answer",
    "other": "other reason",
}
"""Why an estimate was lost; kept as the reason why its job was cancelled."""

CALLED_OFF_WORDS: dict[str, str] = LOST_WORDS | {"sample": "sample job"}
"""Every reason that a cancelled job may carry as a code."""
