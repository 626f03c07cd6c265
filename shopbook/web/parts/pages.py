"""How an area's pages come to be: its modules hang them on the area's blueprint while they are imported."""

from collections.abc import Iterable
from importlib import import_module
from pkgutil import iter_modules


def import_pages(area: str, folders: Iterable[str]) -> None:
    """Import every module of an area, given its package's name and path."""
    for module in iter_modules(folders):
        import_module(f"{area}.{module.name}")
