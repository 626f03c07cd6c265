"""Pages of the floor: what can be done, a running stage, mixes, trouble, spray records, the day sheet, the job card."""

from importlib import import_module

from shopbook.web.floor.blueprint import blueprint

__all__ = ["blueprint"]

_PAGES = ("work", "stage", "mix", "cup", "trouble", "own", "spray", "day", "entry", "card", "job_card")
"""The modules that hang their pages on the blueprint."""

for _page in _PAGES:
    import_module(f"{__name__}.{_page}")
