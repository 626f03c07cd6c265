"""The first steps of a new book in words, each with the page on which it is done."""

from collections.abc import Iterator
from dataclasses import dataclass
from os import name as system

from flask import g, render_template, url_for

from shopbook.queries.reports.first_steps import FirstSteps, read_first_steps
from shopbook.trade.countries import TaxAsks
from shopbook.web.parts import clock_text, country, now, shop_now
from shopbook.web.parts.frame import day_of

PRACTICE = r".venv\Scripts\python seed_demo.py" if system == "nt" else ".venv/bin/python seed_demo.py"
"""How the practice shop is called on this machine: a program of its own, on a port of its own."""


@dataclass(frozen=True, slots=True)
class FirstStep:
    """One step: what it is about, why in a line, its press; without an address the person may not take it."""

    title: str
    words: str
    label: str
    url: str
    is_done: bool
    is_old: bool = False
    """It takes over what was before the book."""


def new_book() -> str:
    """Today of a book that never had a job: one real car first, the steps with what is done, a practice shop."""
    steps, moment = list(first_steps()), now()
    return render_template(
        "reports/today_new.html",
        day=shop_now().day,
        steps=steps,
        done=sum(step.is_done for step in steps),
        clock=clock_text(moment),
        practice=f"{PRACTICE} --serve --port 8211",
        practice_away=f"{PRACTICE} --remove",
        day_number=(shop_now().day - day_of(shop_now().book.started_at)).days + 1,
    )


def first_steps() -> Iterator[FirstStep]:
    """The steps in the order in which they help."""
    done, book = read_first_steps(shop_now()), shop_now().book
    yield FirstStep(
        "Shop, country and time zone", f"{book.shop_name} · {book.zone.replace('_', ' ')}", "", "", is_done=True
    )
    yield from _of_the_shop(done)
    yield _step(
        "Old numbers", "Type the last ones you used, and papers go on from there.", "Set numbers", "shop.numbers",
        ("shop", "set"), done.numbers, is_old=True,
    )  # fmt: skip


def _of_the_shop(done: FirstSteps) -> Iterator[FirstStep]:
    if country().tax_asks is not TaxAsks.NOTHING:
        tax = country().tax_word
        yield _step(
            f"{tax[:1].upper()}{tax[1:]}", f"Until it is set, prices say “plus {tax}”.", "Set tax", "shop.first_taxes",
            ("money", "change"), done.tax, then=url_for("reports.today"),
        )  # fmt: skip
    yield _step(
        "Your prices", "Drafted from your hourly rate. Change what differs.", "Look at prices", "shop.price_list",
        ("shop", "set"), done.prices,
    )  # fmt: skip
    yield _step(
        "Who works here",
        "A name and a PIN each, no email needed.",
        "Add people",
        "shop.people",
        ("shop", "people"),
        done.people,
    )
    yield _step(
        "A phone for the floor",
        "It stays signed in, nothing to install.",
        "Add a phone",
        "shop.devices",
        ("shop", "device"),
        done.phone,
    )
    yield _step(
        "Walk the shelf",
        "Count what stands there, rack by rack.",
        "Start counting",
        "shelf.count",
        ("shelf", "use"),
        done.shelf,
    )


def _step(
    title: str,
    words: str,
    label: str,
    endpoint: str,
    needed: tuple[str, str],
    is_done: bool,
    *,
    then: str | None = None,
    is_old: bool = False,
) -> FirstStep:
    there = url_for(endpoint, then=then) if g.actor.may(*needed) else ""
    return FirstStep(title, "" if is_done else words, label, there, is_done, is_old)
