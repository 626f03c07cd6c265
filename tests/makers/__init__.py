"""Makers: plain functions that put what a test needs into a book, with sensible defaults; one module an area."""

from tests.makers.customers import make_customer, make_vehicle
from tests.makers.shop import FIRST_DAY, STARTED, make_book, make_person

__all__ = ["FIRST_DAY", "STARTED", "make_book", "make_customer", "make_person", "make_vehicle"]
