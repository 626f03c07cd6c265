"""How the program speaks: phrases that a person at the counter would not say stand nowhere in what it shows."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
BANNED: dict[str, str] = {
    r"\bnought\b": "zero, none",
    r"\bfrowns?\b": "warning",
    r"\bin all\b": "total",
    r"\bTogether\b": "Total",
    r"\bKeep it\b": "Save",
    r"\bTake it out\b": "Remove, Reverse payment",
    r"\bStrike out\b": "Remove",
    r"\bStruck out\b": "Removed",
    r"\bThrow\b.{0,30}\baway\b": "Remove",
    r"\bTake off\b": "Remove",
    r"\bout of sight\b": "Remove",
    r"\bGive up\b": "Write off debt",
    r"\bLet it go\b": "Release unpaid",
    r"\bIt came to nothing\b": "Lost",
    r"\bBecame work\b": "Won",
    r"\bWhere is it hurt\b": "Where is the damage?",
    r"\bbefore the keys\b": "due on collection",
    r"\bWhat came of it\b": "Payments and credits",
    r"\bCalled off\b": "Cancelled",
    r"\bCall off\b": "Cancel job",
    r"\bCall it ready\b": "Mark ready",
    r"\bshop floor\b": "shop supplies, where supplies are meant",
    r"\bSomething more was found\b": "Add extra work",
    r"\bSomebody is away\b": "Time off",
    r"\bPut right\b": "Rework",
    r"\bHolds from\b": "Applies from",
    r"\bColour to the car\b": "Paint mixed for this car",
    r"\bNot yours to press\b": "You don't have access to this.",
    r"\bMore to see\b": "Extra features",
    r"\bAn hour must bring\b": "Break-even per hour sold",
    r"\bby age\b": "Aged receivables",
    r"\bpoints worse\b": "points below plan",
    r"\bwhat holds stays\b": "Leave empty to keep the current one.",
    r"\b[Ww]ithout a yes\b": "not approved",
    r"\b[Tt]wo kinds of yes\b": "approvals",
    r"\bat the owner’s wish\b": "Declined by the customer",
    r"\bby looking\b": "Count stock",
    r"\b[Tt]ake in a delivery\b": "Delivery came",
    r"\bShould have come\b": "Late from suppliers",
    r"\bgood till\b": "use by",
    r"\b[Ii]t spoils\b": "Shelf life, Batch and use-by date",
    r"\bPrice was wrong\b": "Correct the price",
    r"\b[Tt]he shop orders\b": "You order at",
    r"\bcalled that\b": "No material matches.",
    r"\bgone out already\b": "sent",
    r"\b[Cc]arriage\b": "delivery charge",
    r"\b[Ss]pilt\b": "spilled",
    r"\bbeyond the book\b": "more than in the book",
    r"\bnot waited for\b": "Nothing more is expected.",
    r"\bthe owner\b": "the customer, where the car's is meant",
    r"\blast bit of\b": "less than ¼ of a 3 L can",
    r"\bFlake without\b": "Metallic without a blend",
    r"\bflatted\b": "sanded",
    r"\b[Tt]wo-pack\b": "2K",
    r"\bwater-borne\b": "waterborne",
    r"\bput it right\b": "correct it",
    r"\bleft until it is matt\b": "leave until dull",
    r"\bhides weakly\b": "hides poorly",
    r"\bmixed true\b": "measured accurately",
    r"\bsomebody qualified\b": "someone qualified",
    r"\b[Tt]ype the one that\b": "Enter the one you mean.",
    r"\bas things stand\b": "on time, will be late",
    r"\bMixed so\b": "Mixed like this",
    r"\bMixed something\b": "Record a mix",
    r"\bone tap\b": "Choose a reason",
    r"\bnot agreed: not billed\b": "not approved, not billable yet",
    r"\bWhy it is changed\b": "Reason for the change",
    r"\bin no plan\b": "not in the plan",
    r"\bCould come in\b": "Drop-off Tuesday, ready Friday",
    r"\bno day said\b": "no day set",
    r"\bLot marks\b": "Batch numbers",
    r"\bwants a beginning\b": "needs a start",
    r"\bto place again\b": "needs placing again",
    r"\b[Ww]aits? for a yes\b": "Waiting for approval",
    r"\bMore was found\b": "Extra work found",
    r"\bWant to be called\b": "Customers to call back",
    r"\brate counts that holds\b": "We charge the rate in force on the day of supply.",
    r"\bseen to first\b": "Before you close the month",
    r"\bEstimates that were out\b": "Standards that were off",
    r"\bin nobody’s hand\b": "not in use",
    r"\bKerb price\b": "the quick estimate, by country",
    r"\bPaint kept\b": "No paint",
    r"\b[Nn]othing of (this|it) was kept\b": "nothing was saved",
    r"\bpress once more\b": "try again",
    r"\bdoes not answer\b": "does not respond",
    r"\b[Nn]othing was taken from it\b": "Nothing was restored.",
    r"\b[Pp]apers that run out\b": "Certificates and checks",
    r"\bCall it off\b": "Cancel job",
    r"\bWho brings it\b": "Customer",
    r"\ball the same\b": "anyway",
    r"\bas large as a palm\b": "palm-sized",
    r"\byes is open\b": "not approved",
    r"\bnobody works on it\b": "then dries for",
    r"\bWhat it is about\b": "job details",
    r"\bleft by the owner\b": "declined by the customer",
    r"\bcar’s helpers\b": "driver assistance",
    r"\bsign once more\b": "sign again",
    r"\bstands in the book\b": "is already in the book",
    r"\bWork it over\b": "Edit",
    r"\bOf it late\b": "Overdue",
    r"\bWhere the money stands\b": "Money",
    r"\bcame to nothing\b": "lost",
    r"\bLet the car go\b": "Release unpaid",
    r"\bat your wish\b": "at your request",
    r"\bGiven? back\b": "Refund",
    r"\b[Oo]n account\b": "credit, unused credit",
    r"\bYes of the\b": "Customer said yes",
    r"\b[Nn]ot in force\b": "no longer valid",
    r"\bPrice by hand\b": "Set price",
    r"\bWhat may come next\b": "Next",
    r"\ba yes of its own\b": "an approval of its own",
    r"\bpasses what was agreed\b": "is above what was approved",
    r"\bInvoice so far\b": "Invoice preview",
    r"\bLaid at\b": "Applied at",
}
"""What is not said, and what is said instead; the list of the voice, from reading pages aloud."""


def test_no_page_or_sentence_says_what_nobody_would_say() -> None:
    said = [
        f"{found[0]}: say {then}"
        for text in spoken()
        for now, then in BANNED.items()
        if (found := re.search(now, text))
    ]
    assert said == []


def spoken() -> Iterator[str]:
    """Every text of a template outside its tags, and every text in the program that is no docstring."""
    for path in sorted((ROOT / "templates").rglob("*.html")):
        text = re.sub(r"\{#.*?#\}|<!--.*?-->", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
        yield from (part for part in re.split(r"<[^>]+>", text) if part.strip())
    for path in sorted((ROOT / "shopbook").rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        about = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        yield from (
            node.value
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in about
        )
