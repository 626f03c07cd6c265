"""The demo's folder: built beside the old one once a day and only then put in its place; its sign-ins; serving it."""

import shutil
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import click
from platformdirs import user_data_path
from sqlalchemy import Engine

from shopbook.commands.book import Refused, alone, any_book, ask, revision_of
from shopbook.commands.demo.frame import Shop
from shopbook.commands.places import LOOPBACK, is_taken
from shopbook.commands.proving import prove_book
from shopbook.commands.serve import serve_book
from shopbook.config import Config, read_config
from shopbook.models.schema import newest_revision, upgrade_schema
from shopbook.models.session import make_engine
from shopbook.queries.shop.book import find_book
from shopbook.queries.shop.guesses import find_other_release

USUAL_FOLDER = user_data_path("shopbook-demo", appauthor=False)
_BUILT = "built-at"
_GROWS_OLD_AFTER = timedelta(days=1)


def demo_config(folder: Path) -> Config:
    """Settings of a demo in a folder. The environment is not asked: it may name the shop's own book."""
    return read_config({"SHOPBOOK_DATA": str(folder)})


def ready_demo(
    folder: Path, moment: datetime, build: Callable[[Config, Engine, datetime], None], *, again: bool = False
) -> Config:
    """A demo that stands in `folder`: the one that is there, or a new one when it is missing, a day old or of another
    schema, or when it is wanted `again`. Says which.

    Refused for a folder that holds something else, while somebody serves it, or when the new book fails its check.
    """
    config = demo_config(folder)
    why = "as asked" if again and folder.exists() else _why_build(config, moment)
    if not why:
        click.echo(f"The demo in {config.data_folder} was built today and is served as it is (--again rebuilds it).")
        return config
    _refuse_foreign(config)
    with alone(config):
        click.echo(f"Building the demo in {config.data_folder} ({why}) …")
    fresh = config.data_folder.with_name(config.data_folder.name + "-new")
    shutil.rmtree(fresh, ignore_errors=True)
    _build(demo_config(fresh), moment, build)
    # Built whole beside the old one first, so that a build that fails leaves the old demo as it was.
    shutil.rmtree(config.data_folder)
    fresh.replace(config.data_folder)
    return config


def remove_demo(folder: Path) -> None:
    """Throw the demo in a folder away. Refused for a folder that holds something else, and while it is served."""
    config = demo_config(folder)
    _refuse_foreign(config)
    if not (config.data_folder / _BUILT).is_file():
        click.echo(f"There is no demo in {config.data_folder}.")
        return
    with alone(config):
        click.echo(f"Removing the demo in {config.data_folder} …")
    shutil.rmtree(config.data_folder)


def _why_build(config: Config, moment: datetime) -> str:
    built = config.data_folder / _BUILT
    if not built.is_file():
        return "there is none yet"
    if moment - datetime.fromisoformat(built.read_text(encoding="ascii").strip()) >= _GROWS_OLD_AFTER:
        return "the existing one is more than a day old"
    with any_book(config) as engine:
        is_ours = revision_of(engine) == newest_revision() and ask(engine, find_other_release) is None
        return "" if is_ours else "the existing one is from another version"


def _refuse_foreign(config: Config) -> None:
    """Nothing is deleted but a demo: a folder with anything else in it is left alone."""
    folder = config.data_folder
    held = {path.name for path in folder.iterdir()} if folder.is_dir() else set()
    if held - {config.lock_file.name} and _BUILT not in held:
        raise Refused(f"{folder} holds something other than a demo. Name an empty folder with --folder.")
    if "book.sqlite3" not in held:
        return
    with any_book(config) as engine:
        book = ask(engine, find_book) if revision_of(engine) == newest_revision() else None
        if book is not None and not book.is_demo:
            raise Refused(f"The book in {folder} is not a demo. Name another folder with --folder.")


def _build(config: Config, moment: datetime, build: Callable[[Config, Engine, datetime], None]) -> None:
    for folder in (config.pictures_folder, config.papers_folder):
        folder.mkdir(parents=True, exist_ok=True)
    upgrade_schema(config.database_url)
    engine = make_engine(config.database_url)
    try:
        build(config, engine, moment)
        faults = [fault.said for proof in prove_book(config, engine) for fault in proof.faults]
    finally:
        engine.dispose()
    if faults:
        raise Refused("The new demo failed its check: " + "; ".join(faults[:5]))
    (config.data_folder / _BUILT).write_text(moment.isoformat(), encoding="ascii")


def serve_demo(config: Config, port: int) -> None:
    """Serve the demo on this machine until Ctrl+C; Refused for a port that is taken, or while it is served already."""
    with alone(config):
        if is_taken(LOOPBACK, port):
            raise Refused(f"Port {port} is in use. Stop what uses it, or choose another with --port.")
        serve_book(config, LOOPBACK, port, lambda: click.echo(f"http://{LOOPBACK}:{port}/   Press Ctrl+C to stop."))


def say_sign_ins(shop: Shop) -> None:
    """Who can sign in, a line each."""
    click.echo(f"Sign in with the password  {shop.password}  as one of these:")
    for one in shop.people:
        click.echo(f"  {one.name:<6} {one.what:<20} PIN {one.pin}")
    click.echo("The PIN is for a phone on the floor that the desk has signed in.")
