"""Every claim about a book tried: one after another, and on a large book by as many processes as there are cores."""

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from itertools import pairwise
from multiprocessing import get_context
from typing import TypeVar

from sqlalchemy import Engine, func, select
from sqlalchemy.orm import Session

from shopbook.commands.book import ask, now
from shopbook.commands.copies import backup_folder
from shopbook.commands.kept import prove_kept
from shopbook.config import Config
from shopbook.models.seal.chain import Seal
from shopbook.models.session import make_engine
from shopbook.models.shelf import Movement
from shopbook.outside.kept_seals import list_backup_seals
from shopbook.queries.reports.proofs import CLAIMS, Proof, try_claim
from shopbook.queries.reports.sealing.proofs import LinksTried, list_seal_proofs, try_links
from shopbook.queries.reports.sealing.remembered import Remembered
from shopbook.queries.shop.book import find_book

Answer = TypeVar("Answer")
_LARGE = 50_000
"""From so many movements on further processes are worth the second that each takes to start."""
_SPANS = 8
"""So many parts of the seal, so that no core waits long for the last one."""


def prove_book(config: Config, engine: Engine) -> Iterator[Proof]:
    """Every claim about the book, its seal and the files that it keeps, tried."""
    is_large = (ask(engine, lambda session: session.scalar(select(func.max(Movement.id)))) or 0) >= _LARGE
    yield from prove_by((os.cpu_count() or 1) if is_large else 1, config, engine)


def prove_by(workers: int, config: Config, engine: Engine) -> Iterator[Proof]:
    """The same by so many processes. Each claim is tried on a snapshot of its own; the end of the seal, with what
    came meanwhile, on that on which rows without a link are looked for."""
    claims = [partial(try_claim, code=claim.code) for claim in CLAIMS]
    if workers == 1:
        yield from (ask(engine, question) for question in claims)
        parts: Sequence[LinksTried] = ()
    else:
        # Started anew, not forked: a connection that is copied would be the parent's own.
        with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
            asking = partial(_ask_at, engine.url.render_as_string(hide_password=False))
            tried = pool.map(asking, claims)
            links = pool.map(asking, [partial(try_links, first=first, last=last) for first, last in _spans(engine)])
            yield from tried
            parts = list(links)
    backups = seals_of_backups(config, engine)
    yield from ask(engine, lambda session: list_seal_proofs(session, backups, parts))
    yield from prove_kept(config, engine)


def _ask_at(url: str, question: Callable[[Session], Answer]) -> Answer:
    """One question in a process of its own."""
    engine = make_engine(url)
    try:
        return ask(engine, question)
    finally:
        engine.dispose()


def _spans(engine: Engine) -> list[tuple[int, int]]:
    """The links that there are, first and last number of some parts of them."""
    top = ask(engine, lambda session: session.scalar(select(func.max(Seal.number)))) or 0
    ends = [top * part // _SPANS for part in range(_SPANS + 1)]
    return [(before + 1, last) for before, last in pairwise(ends) if before < last]


def seals_of_backups(config: Config, engine: Engine) -> list[Remembered]:
    """The links that this book's backups remember, from wherever its backups lie."""
    book = ask(engine, find_book)
    if book is None:
        return []
    backups = list_backup_seals(backup_folder(config, engine, now()), book.book_key)
    return [Remembered(f"backup {one.name}", one.made_at, one.kept) for one in backups]
