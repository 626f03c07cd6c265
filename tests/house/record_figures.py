"""The one step after the figures of the shipped catalogue were changed: `python -m tests.house.record_figures`.

It writes the release that books started from now on will name, so that a later change can be told from it.
"""

import json
from pathlib import Path

from shopbook.trade.catalogue import releases
from shopbook.trade.catalogue.first_words import FIRST
from shopbook.trade.catalogue.reading import own_catalogue

FOLDER = Path(releases.__file__).parent / "releases"


def text_of(rows: dict[str, dict[str, object]]) -> str:
    """A release's file: one row a line, so that a change can be read."""
    kinds = []
    for kind, entries in rows.items():
        lines = [f"{json.dumps(code)}: {json.dumps(body, ensure_ascii=False)}" for code, body in entries.items()]
        kinds.append(f"{json.dumps(kind)}: {{\n" + ",\n".join(lines) + "\n}")
    return '{"rows": {\n' + ",\n".join(kinds) + "\n}}\n"


def unlike_first() -> dict[str, dict[str, object]]:
    """The shipped rows that differ from the first release's, and None for those that are gone."""
    first, now = releases.find_release(FIRST) or {}, releases.rows_of(own_catalogue())
    found: dict[str, dict[str, object]] = {}
    for kind in {**first, **now}:
        here, there = now.get(kind, {}), first.get(kind, {})
        unlike = {code: here.get(code) for code in sorted({**here, **there}) if here.get(code) != there.get(code)}
        if unlike:
            found[kind] = unlike
    return found


def main() -> None:
    """Write the file of the release that ships now, unless it is there."""
    path = FOLDER / f"{releases.own_release()}.json"
    if not path.exists():
        path.write_text(text_of(unlike_first()), encoding="utf-8")
    print(f"The shipped figures are recorded in {path.name}")


if __name__ == "__main__":
    main()
