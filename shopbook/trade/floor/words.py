"""What a clock can run on beside stages, the reasons for correcting a day, and how time on the floor is written."""

from enum import StrEnum

from shopbook.trade.purposes import StagePurpose


class ClockWhat(StrEnum):
    """What one clock entry was: work on stages, or something else in the shop."""

    STAGE = "stage"
    SETTING_UP = "setting_up"
    CLEANING = "cleaning"
    MOVING_CARS = "moving_cars"
    FETCHING = "fetching"
    PHONE = "phone"
    WAITING = "waiting"
    BREAK = "break"
    NOT_ON_CAR = "not_on_car"


OTHER_WORDS: dict[ClockWhat, str] = {
    ClockWhat.SETTING_UP: "Setting up",
    ClockWhat.CLEANING: "Cleaning",
    ClockWhat.MOVING_CARS: "Moving cars",
    ClockWhat.FETCHING: "Fetching paint or parts",
    ClockWhat.PHONE: "Phone",
    ClockWhat.WAITING: "Waiting for parts",
    ClockWhat.BREAK: "Break",
    ClockWhat.NOT_ON_CAR: "Not on a car",
}
"""What else is done in a shop, as a button says it."""

CLOCKED_ELSE = (
    ClockWhat.BREAK,
    ClockWhat.CLEANING,
    ClockWhat.MOVING_CARS,
    ClockWhat.FETCHING,
    ClockWhat.SETTING_UP,
    ClockWhat.PHONE,
)
"""What a clock may be started on, in the order of the buttons."""


OWN_WORDS: dict[StagePurpose, str] = {
    StagePurpose.STRIP_AND_LOOK: "Strip and inspect",
    StagePurpose.REWORK: "Rework",
    StagePurpose.GOODWILL: "Goodwill",
    StagePurpose.OWN_CAR: "Our own car",
}
"""Work on a car that needs no approval, as its button says it; none of it is billed as if it had one."""


class Second(StrEnum):
    """What becomes of the car that a clock runs on when another one is started."""

    SWITCH = "switch"
    BOTH = "both"


def second_words(cars: int) -> dict[str, str]:
    """The two answers as buttons say them, for so many cars between them."""
    return {Second.SWITCH.value: "Switch", Second.BOTH.value: "Work on both" if cars == 2 else f"Work on all {cars}"}


def ask_second(running: str) -> str:
    """The question of a start on another car: "Your clock is running on 1042 Prime."."""
    return f"Your clock is running on {running}."


class Why(StrEnum):
    """Why hours are changed on a later day."""

    FORGOT = "forgot"
    WRONG_JOB = "wrong_job"
    WRONG_TIME = "wrong_time"
    PAPER = "paper"


WHY_WORDS: dict[Why, str] = {
    Why.FORGOT: "Forgot to clock in or out",
    Why.WRONG_JOB: "Wrong job or stage",
    Why.WRONG_TIME: "Wrong time",
    Why.PAPER: "From the paper card",
}

STOPPED_AT_LUNCH = "stopped by itself at lunch"
STOPPED_AT_CLOSING = "stopped by itself at closing"
STOPPED_AT_NIGHT = "stopped by itself at midnight"
"""Reasons saved with entries whose clock nobody stopped."""


def say_running(minutes: int) -> str:
    """Minutes as a running clock reads: 24 is "0:24", 145 is "2:25"."""
    hours, rest = divmod(max(minutes, 0), 60)
    return f"{hours}:{rest:02d}"
