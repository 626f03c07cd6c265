"""Tables, columns and constraints; importing this package loads every table into `Base.metadata`."""

from shopbook.models import customers, diary, floor, jobs, money, shelf, shop
from shopbook.models.base import Base

__all__ = ["Base", "customers", "diary", "floor", "jobs", "money", "shelf", "shop"]
