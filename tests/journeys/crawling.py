"""Every page of a served book as links lead there from the front door, for one person."""

import json
import re
from collections import Counter, deque
from pathlib import Path

from filelock import FileLock
from flask import Flask
from werkzeug.exceptions import HTTPException

from tests.clients import ShopClient
from tests.journeys.demos import run_folder

SEVERAL = {"jobs.show": 4, "money.quote": 3, "money.invoice": 3, "floor.stage": 3, "money.payment": 2}
"""Pages that look otherwise where a job stands otherwise; any other is looked at once."""
TRIED = {"jobs.show": 24, "floor.stage": 24, "money.quote": 24}
"""How many addresses of one kind are opened to find links that only some of them have; of any other kind six."""


def endpoint_of(app: Flask, url: str) -> str | None:
    """The endpoint that answers an address of our own; None for any other."""
    path = url.partition("?")[0].partition("#")[0]
    try:
        return str(app.url_map.bind("localhost").match(path, method="GET")[0])
    except HTTPException:
        return None


def main_of(text: str) -> str:
    """What a page shows beside its frame, without what is drawn anew each time: keys of presses, tokens and stamps."""
    return re.sub(r'name="csrf_token"[^>]*|value="[0-9a-f]{32}"|data-stamp="[^"]*"', "", text.partition("<main")[2])


def crawl_recent(app: Flask, who: str, base: Path) -> dict[str, list[str]]:
    """The same of the demo of the last weeks, looked for once a run; `base` is the folder of a worker."""
    kept = run_folder(base) / f"recent-{who}.json"
    with FileLock(f"{kept}.lock"):
        if not kept.exists():
            kept.write_text(json.dumps(crawl(app, who)))
    found: dict[str, list[str]] = json.loads(kept.read_text())
    return found


def crawl(app: Flask, who: str) -> dict[str, list[str]]:
    """Addresses by endpoint, so many of each as are worth looking at; none where no page but a file answers."""
    client, found = ShopClient(app).signed_in_as(who), dict[str, list[str]]()
    waiting, seen, taken = deque(["/"]), {"/"}, Counter[str]()
    while waiting:
        url = waiting.popleft()
        endpoint = endpoint_of(app, url)
        if endpoint in {None, "static"} or taken[str(endpoint)] >= TRIED.get(str(endpoint), 6):
            continue
        taken[str(endpoint)] += 1
        links = _open(client, url, str(endpoint), found)
        waiting += [link for link in dict.fromkeys(links) if link not in seen]
        seen.update(links)
    return found


def _open(client: ShopClient, url: str, endpoint: str, found: dict[str, list[str]]) -> list[str]:
    """Open one address, note where it led, and answer the links on its page."""
    answer = client.get(url, follow_redirects=True)
    assert answer.status_code == 200, (url, answer.status_code)
    if answer.mimetype != "text/html":
        found.setdefault(endpoint, [])
        return []
    shown = endpoint_of(client.app, answer.request.path) or endpoint
    found.setdefault(endpoint, [])
    known = found.setdefault(shown, [])
    if len(known) < SEVERAL.get(shown, 1) and url not in known:
        known.append(url)
    links = re.findall(r'(?:href|src|data-refresh)="(/[^"]*)"', answer.text)
    links += re.findall(r'action="(/[^"]*)" method="get"', answer.text)
    return [link.replace("&amp;", "&").partition("#")[0] for link in links]
