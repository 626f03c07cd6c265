"""The factory: settings, database, guards, error pages, the areas' pages, the health check."""

import hashlib
import importlib
import logging
from datetime import timedelta
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Any

from flask import Blueprint, Flask

from shopbook.config import Config, read_config
from shopbook.documents.faces import keep_made_fonts_in
from shopbook.models.schema import bundled
from shopbook.models.session import tune
from shopbook.services.shop.people import SIGN_IN_HOLDS
from shopbook.web.parts import errors, frame, guards, owing
from shopbook.web.parts.act import db
from shopbook.web.parts.keys import KeyConverter

AREAS = ("shop", "customers", "shelf", "jobs", "floor", "diary", "money", "reports")
LARGEST_REQUEST = 21 * 1024 * 1024
LOOPBACK = ("localhost", "127.0.0.1", "[::1]")


def create_app(config: Config | None = None, **overrides: Any) -> Flask:
    """The program for one book; `overrides` are Flask settings that a test wants otherwise."""
    settings = config or read_config()
    static = bundled("web") / "static"
    app = Flask(
        "shopbook",
        template_folder=str(bundled("templates")),
        static_folder=str(static),
        static_url_path=f"/static/{version_of(static)}",
    )
    app.config.update(_flask_settings(settings) | overrides)
    app.url_map.converters["int"] = KeyConverter
    _keep_log(app, settings)
    keep_made_fonts_in(settings.fonts_folder)
    db.init_app(app)
    with app.app_context():
        tune(db.engine)
    guards.install(app)
    errors.install(app)
    frame.install(app)
    owing.install(app)
    for area in AREAS:
        app.register_blueprint(_blueprint(area))
    return app


def version_of(folder: Path) -> str:
    """A folder's name for what its files hold: a browser keeps them for good, and asks anew once one has changed.

    It stands in the path, not behind it, so that a module's own import of the file beside it leads to the same version.
    """
    whole = hashlib.sha256()
    for path in sorted(each for each in folder.iterdir() if each.is_file()):
        whole.update(f"{path.name} {path.stat().st_size} ".encode() + path.read_bytes())
    return whole.hexdigest()[:12]


def _flask_settings(settings: Config) -> dict[str, Any]:
    return {
        "SHOPBOOK": settings,
        "SECRET_KEY": settings.read_secret(),
        "SQLALCHEMY_DATABASE_URI": settings.database_url,
        # A failed statement is logged without what was typed: names, hashes and amounts stay out of the log.
        "SQLALCHEMY_ENGINE_OPTIONS": {"hide_parameters": True},
        "MAX_CONTENT_LENGTH": LARGEST_REQUEST,
        "MAX_FORM_MEMORY_SIZE": 2 * 1024 * 1024,
        "SESSION_COOKIE_NAME": "shopbook",
        "SESSION_COOKIE_HTTPONLY": True,
        "SESSION_COOKIE_SAMESITE": "Lax",
        "SESSION_COOKIE_SECURE": settings.is_behind_tls,
        "PERMANENT_SESSION_LIFETIME": SIGN_IN_HOLDS,
        # A picture that arrives late would put back an older cookie, and what a press had to say would be lost.
        "SESSION_REFRESH_EACH_REQUEST": False,
        "TRUSTED_HOSTS": [*LOOPBACK, *settings.trusted_hosts],
        "TEMPLATES_AUTO_RELOAD": False,
        "SEND_FILE_MAX_AGE_DEFAULT": timedelta(days=365),
    }


def _keep_log(app: Flask, settings: Config) -> None:
    settings.data_folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    if app.testing or app.config.get("TESTING"):
        return
    handler = RotatingFileHandler(settings.log_file, maxBytes=2_000_000, backupCount=5, encoding="utf-8", delay=True)
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    app.logger.addHandler(handler)
    app.logger.setLevel(logging.INFO)


def _blueprint(area: str) -> Blueprint:
    pages: Blueprint = importlib.import_module(f"shopbook.web.{area}").blueprint
    return pages
