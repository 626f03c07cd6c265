"""The one blueprint of the money pages; its routes stand in the modules beside it."""

from flask import Blueprint, current_app, url_for

from shopbook.config import Config

blueprint = Blueprint("money", __name__, url_prefix="/money")


def shop_config() -> Config:
    """The settings of this book: where papers and pictures lie."""
    config: Config = current_app.config["SHOPBOOK"]
    return config


def tax_url(then: str) -> str:
    """Where a new shop sets its tax, on the way to what needs a total."""
    return url_for("shop.first_taxes", then=then)


def job_url(number: int) -> str:
    """The job's own page."""
    return url_for("jobs.show", number=number)
