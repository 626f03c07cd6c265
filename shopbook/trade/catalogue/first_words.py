"""Which words of stored rows were the program's own when books still stored them beside the figures."""

import hashlib
import json
from functools import cache
from importlib.resources import files
from typing import Any

FIRST = "2026.3"
"""The release of every book from the time before releases were named."""


def find_text(release: str) -> str | None:
    """The file of a release; None where there is none of that name."""
    file = files("shopbook.trade.catalogue").joinpath("releases", f"{release}.json")
    return file.read_text(encoding="utf-8") if file.is_file() else None


def weigh_word(value: Any) -> str:
    """Eight letters that stand for a word of ours, so that the word itself need not be kept."""
    return hashlib.sha256(json.dumps(value, sort_keys=True).encode()).hexdigest()[:8]


def was_ours(kind: str, code: str, name: str, value: Any) -> bool:
    """Whether the first release had exactly this word in this field: then the shop did not type it."""
    first = _first()
    if code not in first["rows"].get(kind, {}):
        return False
    weighed = first["words"].get(f"{kind}.{code}.{name}")
    # Words that were empty are not listed.
    return weighed == weigh_word(value) if weighed else not value


@cache
def _first() -> dict[str, Any]:
    whole: dict[str, Any] = json.loads(find_text(FIRST) or "")
    return whole
