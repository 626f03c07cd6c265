"""`shopbook backup` and `shopbook restore`: the whole book in one file, and back again on any machine."""

from pathlib import Path

import click

from shopbook.commands.book import Refused, act, alone, any_book, now, revision_of
from shopbook.commands.check import prove_book
from shopbook.commands.copies import back_up, backup_folder
from shopbook.commands.upgrade import bring_up
from shopbook.config import Config, read_config
from shopbook.outside.backups import unpack_backup
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
    """Restore a backup into a new data folder. The file is checked first, the book after it; nothing is overwritten."""
    folder = folder.expanduser().resolve()
    backup = unpack_backup(file, folder)
    config = read_config({"SHOPBOOK_DATA": str(folder)})
    if config.book_file is None or not config.book_file.is_file():
        raise Refused(f"{folder / BOOK_NAME} was not written.")
    is_sound = _take_up(config, file.name)
    click.echo(f"The book of {backup.made_at:%Y-%m-%d %H:%M} UTC is restored in {folder}.")
    if not is_sound:
        raise Refused("The restored book has the faults above: they were in the backup. Try an earlier one.")
    click.echo(f"To use it, set  SHOPBOOK_DATA={folder}  and run  shopbook serve")


def _take_up(config: Config, name: str) -> bool:
    """Bring the book in the new folder to this program, prove it, and let its seal name the backup; answers if whole.

    Only what is proved is said to be whole, but the link is written either way: the book goes on from that backup.
    """
    with alone(config), any_book(config) as engine:
        stands = revision_of(engine)
        if stands is not None:
            bring_up(config, engine, stands)
        faults = [fault for proof in prove_book(config, engine) for fault in proof.faults]
        for fault in faults:
            click.echo(f"       {fault}")
        act(engine, lambda act: note_restored(act, name))
    return not faults
