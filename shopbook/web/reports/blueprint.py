"""The blueprint of the reports: today, the month."""

from flask import Blueprint

blueprint = Blueprint("reports", __name__)
