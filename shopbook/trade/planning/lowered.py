"""What an edit lowers of work that was agreed: hours, coats, areas, drying and materials, of kept versions of a plan.

A stage approved with 16 h of drying for its clear, changed to 20 h and then to 18 h, is not lowered; changed to 4 h it
is ("The clear of Spray now dries 4 h, 16 h were agreed."), and from 4 h to 8 h it is only raised again.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from shopbook.trade.floor.hours import to_tenths
from shopbook.trade.floor.waits import length_words
from shopbook.trade.letters import lower_first, plain_code

Body = Mapping[str, Any]  # a kept plan or one of its stages, as JSON holds it
Figures = dict[tuple[str, ...], int]
"""What of a stage can be lowered, each figure by its kind and whose it is; zero once it is out of the plan."""


def lowered(bodies: Sequence[Body], name_of: Callable[[str], str] = plain_code) -> list[str]:
    """A sentence for each figure of an approved stage that the newest version lowers below what was agreed.

    `bodies` are the kept versions of one plan, newest first; `name_of` says what the material of a role is called.
    """
    if len(bodies) < 2:
        return []
    before = {each["id"]: each for each in bodies[1]["stages"]}
    sentences: list[str] = []
    for stage in bodies[0]["stages"]:
        if stage["is_agreed"] and stage["id"] in before:
            past = list(_past_of(stage["id"], bodies[1:]))
            sentences += _say_all(stage, past, name_of)
    return sentences


def _past_of(stage_id: int, bodies: Iterable[Body]) -> Iterator[Body]:
    """A stage in the versions before, newest first, back to the one that its approval was given for."""
    for body in bodies:
        found = next((each for each in body["stages"] if each["id"] == stage_id), None)
        if found is None:
            return
        yield found
        if not found["is_agreed"]:
            return


def _say_all(stage: Body, past: Sequence[Body], name_of: Callable[[str], str]) -> list[str]:
    now, was, agreed = figures_of(stage), figures_of(past[0]), dict[tuple[str, ...], int]()
    for each in past:
        agreed |= figures_of(each)
    fell = {key: agreed[key] for key, minutes in was.items() if now.get(key, 0) < min(minutes, agreed[key])}
    if stage["is_struck"]:
        # Its coats and their drying go with it: one sentence says so.
        hours = agreed.get(("hours",), 0)
        return [f"{stage['name']} is removed, {to_tenths(hours)} were agreed."] if not past[0]["is_struck"] else []
    return [_say(stage["name"], key, now.get(key, 0), fell[key], name_of) for key in _each_coat_once(fell)]


def _each_coat_once(fell: Figures) -> list[tuple[str, ...]]:
    """Of what a coat waits for on its panels, trim and polish say, only the longest."""
    longest: dict[tuple[str, ...], tuple[str, ...]] = {}
    for key in sorted(fell, key=lambda each: fell[each]):
        longest[key[:2] if key[0] == "dries" else key] = key
    return [key for key in fell if key in longest.values()]


def figures_of(stage: Body) -> Figures:
    """The figures of one kept stage; those that the form of its version does not know are missing."""
    if stage["is_struck"]:
        return {}
    found: Figures = {("hours",): stage["minutes"]}
    for panel, coat, opens, minutes, *_, is_inside in stage.get("waits", ()):
        found["dries", coat, panel, opens, str(is_inside)] = minutes
    for name, code, coats, area_cm2 in stage.get("mixes", ()):
        found |= {("coats", name, code): coats, ("area", name, code): area_cm2}
    for role, amount, _, mix, *_ in stage["uses"]:
        found["material", role, mix] = int(amount > 0)
    return found


def _say(stage: str, key: tuple[str, ...], now: int, agreed: int, name_of: Callable[[str], str]) -> str:
    kind, whose = key[0], key[1] if len(key) > 1 else ""
    if kind == "hours":
        return f"{stage} is now planned at {to_tenths(now)}, {to_tenths(agreed)} were agreed."
    if kind == "dries":
        coat = f"The {lower_first(plain_code(whose))} of {stage}" if whose != "other" else stage
        return f"{coat} now dries {length_words(now)}, {length_words(agreed)} were agreed."
    if kind == "coats":
        return f"{whose} now has {now} coat{'s' if now != 1 else ''}, {agreed} were agreed."
    if kind == "area":
        return f"{whose} now covers {now / 10_000:.2f} m², {agreed / 10_000:.2f} m² were agreed."
    return f"{stage} now goes without {name_of(whose)}, which was agreed."
