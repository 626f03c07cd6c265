"""The floor: who is here, running clocks, the clock ledger, mixes, troubles, spray records and colour cards."""

from shopbook.models.floor.clocks import Attendance, ClockEntry, ClockShare, RunningClock, RunningShare
from shopbook.models.floor.colours import ColourCard
from shopbook.models.floor.mixes import Mix, MixPart, MixShare, MixTakenBack
from shopbook.models.floor.troubles import SprayRecord, Trouble

__all__ = [
    "Attendance",
    "ClockEntry",
    "ClockShare",
    "ColourCard",
    "Mix",
    "MixPart",
    "MixShare",
    "MixTakenBack",
    "RunningClock",
    "RunningShare",
    "SprayRecord",
    "Trouble",
]
