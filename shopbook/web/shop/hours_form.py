"""The form of the shop's opening hours and its lunch break."""

from datetime import time

from wtforms.validators import Optional

from shopbook.trade.diary.opening import DayHours
from shopbook.trade.errors import RuleBroken
from shopbook.trade.measures.locales import weekday_names
from shopbook.trade.settings import SettingName
from shopbook.web.parts.fields import (
    ClockField,
)
from shopbook.web.shop.setting_forms import Held, SettingForm


class HoursForm(SettingForm):
    """The week's opening hours and lunch."""

    lunch_begins = ClockField("Lunch starts", [Optional()])
    lunch_ends = ClockField("Lunch ends", [Optional()])

    def offer(self) -> None:
        # Not at import: a start asks the locale data for nothing.
        for weekday, name in enumerate(weekday_names()):
            self[f"opens_{weekday}"].label.text = f"{name} opens"
            self[f"closes_{weekday}"].label.text = f"{name} closes"

    @classmethod
    def typed(cls, held: Held) -> dict[str, object]:
        week, lunch = held[SettingName.OPENING_HOURS], held[SettingName.LUNCH] or [None, None]
        data: dict[str, object] = {"lunch_begins": _clock(lunch[0]), "lunch_ends": _clock(lunch[1])}
        for weekday in range(7):
            opens, closes = week.get(str(weekday), [None, None])
            data |= {f"opens_{weekday}": _clock(opens), f"closes_{weekday}": _clock(closes)}
        return data

    def settings(self) -> dict[SettingName, object]:
        """RuleBroken, naming the field, for a week without a day that is open, a day that closes before it opens, or a
        lunch outside every day."""
        given = self.clean()
        lunch = [given["lunch_begins"], given["lunch_ends"]]
        week = {weekday: (given[f"opens_{weekday}"], given[f"closes_{weekday}"]) for weekday in range(7)}
        open_days = {weekday: ends for weekday, ends in week.items() if ends != (None, None)}
        if not open_days:
            raise RuleBroken("Enter the hours of at least one day. All work is planned into them.", "opens_0")
        for weekday, (opens, closes) in open_days.items():
            _check_day(weekday, opens, closes)
        _check_lunch(lunch, list(open_days.values()))
        return {
            SettingName.OPENING_HOURS: {str(day): [_text(end) for end in ends] for day, ends in open_days.items()},
            SettingName.LUNCH: [_text(end) for end in lunch] if lunch[0] else [],
        }


for _weekday in range(7):
    setattr(HoursForm, f"opens_{_weekday}", ClockField("Opens", [Optional()]))
    setattr(HoursForm, f"closes_{_weekday}", ClockField("Closes", [Optional()]))


def _clock(text: str | None) -> time | None:
    return time.fromisoformat(text) if text else None


def _text(clock: time) -> str:
    return clock.strftime("%H:%M")


def _check_day(weekday: int, opens: time | None, closes: time | None) -> None:
    if opens is None or closes is None:
        raise RuleBroken("Enter both times, or leave both empty for a closed day.", f"opens_{weekday}")
    try:
        DayHours(opens, closes)
    except RuleBroken as broken:
        raise RuleBroken(broken.sentence, f"closes_{weekday}") from broken


def _check_lunch(lunch: list[time | None], days: list[tuple[time, time]]) -> None:
    if lunch == [None, None]:
        return
    if None in lunch:
        raise RuleBroken("Enter both the start and the end of lunch, or neither.", "lunch_begins")
    begins, ends = lunch
    assert begins is not None
    assert ends is not None
    if begins >= ends or not any(opens < begins and ends < closes for opens, closes in days):
        raise RuleBroken("Lunch must be within opening hours.", "lunch_begins")
