"""One mapping from the tree of errors to pages; anything else is a bug, logged with its request id."""

from flask import Flask, current_app, g, render_template
from werkzeug.exceptions import HTTPException, SecurityError

from shopbook.trade.errors import Conflict, NotAllowed, NotFound, RuleBroken, ShopbookError

STATUS: dict[type[ShopbookError], int] = {RuleBroken: 422, NotFound: 404, Conflict: 409, NotAllowed: 403}
SENTENCES = {
    400: "That page could not be read. Go back and try once more.",
    403: "That is not for you here.",
    404: "There is no such page in the book.",
    405: "That page is not asked for like this. Go back and use its buttons.",
    413: "That file is too large: at most 20 MB for a picture.",
}

FOREIGN_HOST = (
    "Shopbook does not answer under this name. Use the address that it printed when it was started, or let "
    "SHOPBOOK_HOSTS name this one."
)


def install(app: Flask) -> None:
    """Answer every error with a page that says what to do."""
    app.register_error_handler(ShopbookError, _say)
    app.register_error_handler(HTTPException, _say_http)
    app.register_error_handler(SecurityError, _say_foreign_host)
    app.register_error_handler(Exception, _say_bug)


def _say(error: ShopbookError) -> tuple[str, int]:
    status = STATUS[type(error)]
    page = status if status in {403, 404, 409} else 422
    return render_template(f"errors/{page}.html", sentence=error.sentence), status


def _say_http(error: HTTPException) -> tuple[str, int] | HTTPException:
    if error.code is None or error.code < 400:
        return error
    page = error.code if error.code in {403, 404, 413} else 422
    sentence = SENTENCES.get(error.code, "That could not be done. Go back and try once more.")
    return render_template(f"errors/{page}.html", sentence=sentence), error.code


def _say_foreign_host(error: SecurityError) -> tuple[str, int, dict[str, str]]:
    """A name that is not ours: no page is drawn, for no address on it could be built."""
    return FOREIGN_HOST, 400, {"Content-Type": "text/plain; charset=utf-8"}


def _say_bug(error: Exception) -> tuple[str, int]:
    current_app.logger.exception("request %s failed", g.get("request_id", "?"))
    return render_template("errors/500.html", request_id=g.get("request_id", "?")), 500
