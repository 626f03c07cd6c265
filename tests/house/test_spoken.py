"""How the program speaks: phrases that a person at the counter would not say stand nowhere in what it shows."""

import ast
import re
from collections import Counter
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
    r"\bthe owner\b": "the customer, where the car's is meant",
}
"""What is not said, and what is said instead; the list of the voice, from reading pages aloud."""


def test_no_page_or_sentence_says_what_nobody_would_say() -> None:
    said = Counter(phrase for text in spoken() for phrase in BANNED if re.search(phrase, text))
    assert dict(said) == STILL_SAID, "say it as the table does; the list of what is still said only grows shorter"


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


STILL_SAID: dict[str, int] = {
    r"\bfrowns?\b": 1,
    r"\bin all\b": 11,
    r"\bKeep it\b": 1,
    r"\bThrow\b.{0,30}\baway\b": 3,
    r"\bTake off\b": 1,
    r"\bout of sight\b": 3,
    r"\bbefore the keys\b": 4,
    r"\bCalled off\b": 3,
    r"\bshop floor\b": 9,
    r"\bPut right\b": 7,
    r"\bColour to the car\b": 1,
    r"\bAn hour must bring\b": 2,
    r"\bwhat holds stays\b": 1,
    r"\b[Ww]ithout a yes\b": 3,
    r"\b[Tt]wo kinds of yes\b": 1,
    r"\bat the owner’s wish\b": 1,
    r"\bthe owner\b": 23,
}
