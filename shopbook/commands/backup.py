"""`shopbook backup` and `shopbook restore`: the whole book in one file, and back again on any machine."""

from pathlib import Path

import click
from sqlalchemy.exc import SQLAlchemyError

from shopbook.commands.book import Refused, act, alone, any_book, now, refuse_newer, revision_of
from shopbook.commands.copies import back_up, backup_folder
from shopbook.commands.proving import prove_book
from shopbook.commands.upgrade import bring_up
from shopbook.config import Config, read_config
from shopbook.models.session import make_engine
from shopbook.outside.backups import as_it_was, unpack_backup
from shopbook.outside.pack_members import BOOK_NAME
from shopbook.services.shop.restored import note_restored


@click.command()
@click.option(
    "--to",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder to put it in, if not the usual one.",
)
def backup(folder: Path | None) -> None:
    """Back up the book, its pictures, papers and secret to one checked file. The book may be in use."""
    config = read_config()
    with any_book(config) as engine:
        made = back_up(config, engine, folder or backup_folder(config, engine, now()), now())
    size = made.path.stat().st_size
    click.echo(f"{made.path}  ({made.file_count} files, {size / 1_000_000:.1f} MB, checked)")
    click.echo("It contains everything, including the secret: store it where only an owner can read it.")


@click.command()
@click.argument("file", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--to", "folder", type=click.Path(path_type=Path), required=True, help="A new or empty folder.")
def restore(file: Path, folder: Path) -> None:
    """Restore a backup into a new data folder and check it there; one of an earlier version is upgraded first."""
    folder = folder.expanduser().resolve()
    backup = unpack_backup(file, folder, _refuse_newer_copy)
    config = read_config({"SHOPBOOK_DATA": str(folder)})
    if config.book_file is None or not config.book_file.is_file():
        raise Refused(f"{folder / BOOK_NAME} was not written.")
    with as_it_was(folder):
        is_sound = _take_up(config, file.name)
    if not is_sound:
        raise Refused(f"The book in {folder} has the faults above: they were in the backup. Try an earlier one.")
    click.echo(f"The book of {backup.made_at:%Y-%m-%d %H:%M} UTC is whole. It is restored in {folder}.")
    click.echo(f"To use it, set  SHOPBOOK_DATA={folder}  and run  shopbook serve")


def _refuse_newer_copy(book: Path) -> None:
    engine = make_engine(f"sqlite:///{book.as_posix()}")
    try:
        refuse_newer(engine)
    finally:
        engine.dispose()


def _take_up(config: Config, name: str) -> bool:
    """Bring the book in the new folder to this program, prove it, and let its seal name the backup; answers if whole.

    Only what is proved is said to be whole, but the link is written either way: the book goes on from that backup.
    Refused, and nothing restored, where the book cannot be brought up.
    """
    with alone(config), any_book(config) as engine:
        try:
            if revision_of(engine) is not None:
                bring_up(config, engine)
            faults = [fault for proof in prove_book(config, engine) for fault in proof.faults]
            for fault in faults:
                click.echo(f"       {fault.said}  [{fault.table} {fault.key}]")
            act(engine, lambda act: note_restored(act, name))
        except (SQLAlchemyError, ValueError) as error:
            why = " ".join(str(getattr(error, "orig", None) or error).split())[:200]
            raise Refused(f"The book in this backup cannot be read: {why}. Nothing was restored.") from error
    return not faults
