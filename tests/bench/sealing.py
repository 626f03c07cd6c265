"""Measures what the seal costs: finishing a stage with and without it, and `check` of the seal alone on whole books.

    python -m tests.bench.sealing finish [--rounds N] [--database URL]
    python -m tests.bench.sealing check FOLDER [FOLDER …]

A stage uses five materials, and is finished as a page does it, rows kept for its Undo. One with and one without the
seal are finished in turn; the ratio is taken pair by pair, so that a drift of the machine hits both.
"""

import gc
import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

import click
from sqlalchemy import Engine, func, select
from sqlalchemy.orm import Session

from shopbook.config import read_config
from shopbook.models.schema import upgrade_schema
from shopbook.models.seal.chain import Seal
from shopbook.models.seal.hook import UNSEALED
from shopbook.models.session import WRITES, make_engine, transaction
from shopbook.queries.reports.sealing.proofs import list_seal_proofs
from shopbook.services.act import Act
from shopbook.services.floor.finishing import finish_stages
from shopbook.trade.permissions import Actor
from tests.makers import make_book
from tests.makers.floor import at, make_open_job, make_painter, make_use, make_work
from tests.makers.shelf import make_material
from tests.services.undo.pressing import press

_MATERIALS = 5


@click.group()
def main() -> None:
    """What the seal costs."""


@main.command()
@click.option("--rounds", default=60, show_default=True)
@click.option("--database", default="", help="Address of an empty PostgreSQL database; without it SQLite.")
def finish(rounds: int, database: str) -> None:
    """Finish so many stages with the seal and as many without, in turn."""
    with tempfile.TemporaryDirectory() as folder:
        url = database or f"sqlite:///{folder}/book.sqlite3"
        upgrade_schema(url)
        engine = make_engine(url)
        person, stages = _make_stages(engine, 2 * rounds + 4)
        for stage in stages[:4]:
            _finish(engine, person, stage, is_sealed=True)
        for name, clock in (("wall", perf_counter), ("computing", process_time)):
            half = stages[4 : rounds + 4] if name == "wall" else stages[rounds + 4 :]
            _say(name, engine, person, half, clock)
        engine.dispose()


def _make_stages(engine: Engine, count: int) -> tuple[Actor, list[int]]:
    with Session(engine) as session, transaction(session):
        make_book(session)
        person, job = make_painter(session), make_open_job(session)
        materials = [make_material(session, name=f"clear {number}") for number in range(_MATERIALS)]
        stages = [make_work(session, job=job) for _ in range(count)]
        for stage in stages:
            for number, material in enumerate(materials):
                make_use(session, stage, "clear", 10 + number, material_id=material.id)
        return person, [stage.id for stage in stages]


def _say(name: str, engine: Engine, person: Actor, stages: list[int], clock: Callable[[], float]) -> None:
    took: dict[bool, list[float]] = {True: [], False: []}
    gc.disable()
    for place, stage in enumerate(stages):
        # Pair by pair, and whoever goes first changes.
        is_sealed = (place + place // 2) % 2 == 0
        began = clock()
        _finish(engine, person, stage, is_sealed=is_sealed)
        took[is_sealed].append((clock() - began) * 1000)
        gc.collect()
    gc.enable()
    ratios = [sealed / plain for sealed, plain in zip(took[True], took[False], strict=True)]
    click.echo(
        f"{name}: sealed {median(took[True]):.1f} ms, without {median(took[False]):.1f} ms, "
        f"pair by pair {median(ratios):.2f}x over {len(ratios)} pairs"
    )


def _finish(engine: Engine, person: Actor, stage: int, *, is_sealed: bool) -> None:
    with Session(engine, expire_on_commit=False) as session:
        session.connection(execution_options={WRITES: True, UNSEALED: not is_sealed})
        press(Act(session, person, at("9:30")), lambda act: finish_stages(act, [stage]))
        session.commit()


@main.command()
@click.argument("folders", nargs=-1, type=click.Path(exists=True, file_okay=False, path_type=Path))
def check(folders: tuple[Path, ...]) -> None:
    """Prove the seal of each book, and say how long that took."""
    for folder in folders:
        engine = make_engine(read_config({"SHOPBOOK_DATA": str(folder), "SHOPBOOK_DATABASE_URL": ""}).database_url)
        with Session(engine) as session:
            links = session.scalar(select(func.count()).select_from(Seal))
            began, computing = perf_counter(), process_time()
            proofs = list_seal_proofs(session, ())
            faults = sum(len(proof.faults) for proof in proofs)
        took, busy = perf_counter() - began, process_time() - computing
        rows = proofs[1].count
        click.echo(
            f"{folder}: {rows} rows in {links} links, {faults} faults, {took:.1f} s, computing {busy:.1f} s "
            f"({busy / max(rows, 1) * 1e6:.0f} us a row)"
        )
        engine.dispose()


if __name__ == "__main__":
    main()
