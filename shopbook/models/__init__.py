"""Tables, columns and constraints; importing this package loads every table into `Base.metadata`."""

from shopbook.models import customers, diary, floor, jobs, money, shelf, shop
from shopbook.models.base import Base
from shopbook.models.seal import chain

__all__ = ["Base", "chain", "customers", "diary", "floor", "jobs", "money", "shelf", "shop"]
