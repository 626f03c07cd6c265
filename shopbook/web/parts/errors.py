"""One mapping from the tree of errors to pages; anything else is a bug, logged with its request id.

A disk that is full and a book that cannot be read or written are no bugs: they are said, and nothing was kept.
"""

import errno
from datetime import datetime, timedelta

from flask import Flask, Response, current_app, g, render_template
from sqlalchemy.exc import DBAPIError, PendingRollbackError
from sqlalchemy.exc import TimeoutError as NoConnectionFree
from werkzeug.exceptions import HTTPException, SecurityError

from shopbook.trade.errors import Conflict, NotAllowed, NotFound, RuleBroken, ShopbookError
from shopbook.web.parts.act import now
from shopbook.web.parts.late import is_told, tell_refused

STATUS: dict[type[ShopbookError], int] = {RuleBroken: 422, NotFound: 404, Conflict: 409, NotAllowed: 403}
SENTENCES = {
    400: "That page could not be read. Go back and try again.",
    403: "You don’t have access to this page.",
    404: "There is no page at this address.",
    405: "Go back and use the buttons on the page.",
    413: "That file is too large. A photo can be up to 20 MB.",
}

NO_ROOM = "The disk is full, so nothing was saved. Free some space, then try again."
NO_DISK = "The disk is full or failing, so nothing was saved. Check the disk first."
NO_WRITING = "Nothing was saved: the book’s folder or file is read-only, or belongs to another user."
BUSY = "Someone else was saving at the same time, so nothing was saved. Try again."
NO_BOOK = "The book did not respond, so nothing was saved. Try again in a moment."
HARMED = "The book’s file is damaged. Stop Shopbook, keep the file as it is, and restore the last good backup."
TROUBLES = (
    ("full", NO_ROOM),
    ("no space", NO_ROOM),
    ("disk i/o", NO_DISK),
    ("readonly", NO_WRITING),
    ("read-only", NO_WRITING),
    ("permission denied", NO_WRITING),
    ("locked", BUSY),
    ("malformed", HARMED),
    ("not a database", HARMED),
    ("unable to open", NO_BOOK),
    ("connect", NO_BOOK),
    ("terminat", NO_BOOK),
    ("shut", NO_BOOK),
    ("starting up", NO_BOOK),
    ("recovery", NO_BOOK),
)
"""What a database reports about the machine, in its words, and what that means for the shop."""

TOLD_AGAIN_AFTER = timedelta(minutes=1)
"""So long a trouble of one kind has one traceback in the log, and a line for each further request."""

FOREIGN_HOST = (
    "Shopbook is not served at this address. Use the one that it printed when it started, or add this one "
    "to SHOPBOOK_HOSTS."
)


def install(app: Flask) -> None:
    """Answer every error with a page that says what to do."""
    app.register_error_handler(ShopbookError, _say)
    app.register_error_handler(HTTPException, _say_http)
    app.register_error_handler(SecurityError, _say_foreign_host)
    app.register_error_handler(DBAPIError, _say_no_book)
    app.register_error_handler(PendingRollbackError, _say_lost)
    app.register_error_handler(NoConnectionFree, _say_lost)
    app.register_error_handler(OSError, _say_no_disk)
    app.register_error_handler(Exception, _say_bug)


def log_trouble(kind: str) -> None:
    """Log the error that is being handled: with its traceback once a minute for each kind, else in one line."""
    told: dict[str, datetime] = current_app.extensions.setdefault("shopbook_troubles", {})
    is_known = kind in told and timedelta(0) <= now() - told[kind] < TOLD_AGAIN_AFTER
    if is_known:
        current_app.logger.error("request %s: %s (traceback above)", g.get("request_id", "?"), kind)
        return
    told[kind] = now()
    current_app.logger.exception("request %s: %s", g.get("request_id", "?"), kind)


def _draw(page: int, status: int, **words: str) -> tuple[str | Response, int]:
    """An error's page, in the frame of every page; without it when the book that the frame asks is away too."""
    if is_told() and status < 500:
        return tell_refused([words.get("sentence", "")], status), status
    try:
        return render_template(f"errors/{page}.html", **words), status
    except DBAPIError as error:
        return _say_no_book(error)


def _say(error: ShopbookError) -> tuple[str | Response, int]:
    status = STATUS[type(error)]
    page = status if status in {403, 404, 409} else 422
    return _draw(page, status, sentence=error.sentence)


def _say_http(error: HTTPException) -> tuple[str | Response, int] | HTTPException:
    if error.code is None or error.code < 400:
        return error
    page = error.code if error.code in {403, 404, 413} else 422
    sentence = SENTENCES.get(error.code, "That did not work. Go back and try again.")
    return _draw(page, error.code, sentence=sentence)


def _say_foreign_host(error: SecurityError) -> tuple[str, int, dict[str, str]]:
    """A host name that is not ours: plain text, because no link could be built."""
    return FOREIGN_HOST, 400, {"Content-Type": "text/plain; charset=utf-8"}


def _say_no_book(error: DBAPIError) -> tuple[str | Response, int]:
    said = str(error.orig).lower()
    lost = NO_BOOK if error.connection_invalidated else None
    sentence = next((sentence for part, sentence in TROUBLES if part in said), lost)
    return _say_bug(error) if sentence is None else _say_trouble(sentence)


def _say_lost(error: PendingRollbackError | NoConnectionFree) -> tuple[str, int]:
    """What is asked of a book whose connection was lost a moment before, or which gives no further one."""
    return _say_trouble(NO_BOOK)


def _say_no_disk(error: OSError) -> tuple[str | Response, int]:
    if error.errno in {errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)}:
        return _say_trouble(NO_ROOM)
    return _say_trouble(NO_WRITING) if error.errno in {errno.EACCES, errno.EPERM, errno.EROFS} else _say_bug(error)


def _say_trouble(sentence: str) -> tuple[str, int]:
    """A page drawn without what every page is given: that would ask the book again."""
    log_trouble(sentence)
    return current_app.jinja_env.get_template("errors/503.html").render(sentence=sentence), 503


def _say_bug(error: Exception) -> tuple[str | Response, int]:
    current_app.logger.exception("request %s failed", g.get("request_id", "?"))
    return _draw(500, 500, request_id=g.get("request_id", "?"))
