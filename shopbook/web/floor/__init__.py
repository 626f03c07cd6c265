"""Pages of the floor: the work list, a running stage, mixes, trouble, spray records, the day sheet, the job card."""

from shopbook.web.floor.blueprint import blueprint
from shopbook.web.parts.pages import import_pages

__all__ = ["blueprint"]

import_pages(__name__, __path__)
