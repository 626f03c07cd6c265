"""How a person is paid, from a day: by the week over the usual days, or by attendance."""

from collections.abc import Collection
from datetime import date, timedelta

from shopbook.models.shop import PersonWeek
from shopbook.queries.shop.house_costs import list_paid_weeks
from shopbook.queries.shop.people import get_person
from shopbook.services.act import Act
from shopbook.services.postings import refuse_closed, write_log
from shopbook.trade.results.paid_hours import check_week, week_on


def set_paid_week(
    act: Act, person_id: int, *, weekly_minutes: int | None, weekdays: Collection[int] = (), from_on: date
) -> PersonWeek:
    """Pay a person so many minutes a week over these weekdays (Monday is 0), or by attendance (None), from a day.

    RuleBroken for hours without a usual day, or a day in a closed month.
    """
    refuse_closed(act.session, from_on, field="from_on")
    person = get_person(act.session, person_id)
    check_week(weekly_minutes, weekdays)
    row = PersonWeek(
        person_id=person.id,
        weekly_minutes=weekly_minutes,
        weekdays=[] if weekly_minutes is None else sorted(set(weekdays)),
        from_on=from_on,
        at=act.moment,
        by_person_id=act.actor.person_id,
    )
    act.session.add(row)
    # The log names the row.
    act.session.flush()
    how = "by attendance" if weekly_minutes is None else "by the week"
    write_log(act, "set_paid_week", "person", person.id, f"Set paid hours {how} from {from_on.isoformat()}")
    return row


def end_paid_week(act: Act, person_id: int) -> None:
    """The person left today: from tomorrow no week is paid. Of somebody paid by attendance nothing is written."""
    tomorrow = act.day + timedelta(days=1)
    if week_on(list_paid_weeks(act.session).get(person_id, []), tomorrow).weekly_minutes is not None:
        set_paid_week(act, person_id, weekly_minutes=None, from_on=tomorrow)
