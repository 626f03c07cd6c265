"""A process of its own that works on a book and says each act only once it is committed: to be killed, or starved."""

import sys
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy.orm import Session

from shopbook.models.session import make_engine, transaction
from shopbook.models.shelf import Material
from shopbook.outside.files import keep_bytes
from shopbook.services.act import Act
from shopbook.services.postings import Source, next_number, post_stock, stock_of, write_log
from shopbook.services.shelf.stock import draw_stock
from shopbook.services.shop.acts import Done, claim_act, keep_result
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.trade.stock.average_cost import receive

NOW = datetime(2026, 11, 5, 17, 0, tzinfo=UTC)


def act_on_and_on(url: str, name: str, times: int) -> None:
    """Acts of several lines: a key, a delivery, a draw, a number and a log line each; says the number it was given."""
    engine = make_engine(url)
    with Session(engine) as session:
        for turn in range(times):
            with transaction(session):
                assert claim_act(session, f"{name}-{turn}", "try", None, NOW) is None
                material = session.get_one(Material, 1)
                post_stock(Act(session, THE_PROGRAM, NOW), material, receive(stock_of(material), 333, 100 + turn % 7))
                draw_stock(Act(session, THE_PROGRAM, NOW), material, 331, Source())
                number = next_number(session, "raced")
                write_log(Act(session, THE_PROGRAM, NOW), "try", "material", 1, f"{number} " + "x" * 2000)
                keep_result(session, f"{name}-{turn}", Done("/"))
            print(number, flush=True)
    engine.dispose()


def draw_the_last_can(url: str) -> None:
    """Wait for a word, then take a whole can."""
    engine = make_engine(url)
    with Session(engine) as session:
        session.get_one(Material, 1)
        print("ready", flush=True)
        sys.stdin.readline()
        with transaction(session):
            lines = draw_stock(Act(session, THE_PROGRAM, NOW), session.get_one(Material, 1), 1_000_000, Source())
            flags = [line.is_flagged for line in lines]
    print(any(flags), flush=True)
    engine.dispose()


def keep_pictures(folder: str, times: int) -> None:
    """Keep contents of two hundred thousand bytes."""
    for turn in range(times):
        print(keep_bytes(Path(folder), turn.to_bytes(4) * 50_000).sha256, flush=True)


def starve(largest: int) -> None:
    """No file may grow beyond so many bytes: what a full disk does to a writer, for this process alone."""
    import resource

    resource.setrlimit(resource.RLIMIT_FSIZE, (largest, largest))


if __name__ == "__main__":
    what, where, *more = sys.argv[1:]
    if len(more) > 2:
        starve(int(more[2]))
    if what == "act":
        act_on_and_on(where, more[0], int(more[1]))
    elif what == "keep":
        keep_pictures(where, int(more[1]))
    else:
        draw_the_last_can(where)
