"""The `shopbook` command: its parts stand in `commands/`, one module each."""

import errno
from typing import Any

import click
from sqlalchemy.exc import OperationalError

from shopbook import __version__
from shopbook.commands.accountant import accountant
from shopbook.commands.backup import backup, restore
from shopbook.commands.book import Refused
from shopbook.commands.check import check
from shopbook.commands.init import init
from shopbook.commands.move import move
from shopbook.commands.person import person
from shopbook.commands.report import report
from shopbook.commands.secret import new_secret
from shopbook.commands.serve import serve
from shopbook.commands.upgrade import upgrade
from shopbook.trade.errors import ShopbookError


class Sentences(click.Group):
    """A group whose commands report a broken rule as a sentence on the error channel, with exit code 1."""

    def invoke(self, context: click.Context) -> Any:
        try:
            return super().invoke(context)
        except ShopbookError as error:
            raise Refused(error.sentence) from error
        except OSError as error:
            if error.errno == errno.EPIPE:
                raise
            # A folder that is read-only or somebody else's, a disk that is full: no fault of the program's.
            raise Refused(f"{error.filename or 'The disk'} cannot be used: {error.strerror or error}.") from error
        except OperationalError as error:
            raise Refused(f"The book cannot be used: {' '.join(str(error.orig).split())}.") from error


@click.group(cls=Sentences, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="Shopbook")
def main() -> None:
    """The book of a small dent-and-repaint shop. Settings come from SHOPBOOK_* (see the README)."""


for part in (init, serve, upgrade, person, check, backup, restore, move, report, new_secret):
    main.add_command(part)
report.add_command(accountant)


if __name__ == "__main__":
    main()
