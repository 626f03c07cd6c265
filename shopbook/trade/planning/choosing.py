"""The ways of repairing one damage, and what choosing one answers."""

from enum import StrEnum

from shopbook.trade.planning.shapes import DraftDamage, DraftWarning


class Method(StrEnum):
    """A way of repairing one damage, before any paint."""

    PUSH = "push"
    POLISH = "polish"
    CURE_POLISH = "cure_polish"
    """Cured through, then flatted and polished."""
    TOUCH_IN = "touch_in"
    PULL = "pull"
    GRIND = "grind"
    MEND_PLASTIC = "mend_plastic"
    STRIP_OLD = "strip_old"
    SAND_CLEAR = "sand_clear"
    SAND = "sand"
    """Stripped to the metal as narrow as the mark."""
    FEATHER = "feather"
    """Feathered where the metal is not reached."""
    SAND_IN = "sand_in"
    """A mark that needs no paint of its own, on a panel that is painted anyway."""


KEEPS_PAINT = frozenset({Method.PUSH, Method.POLISH, Method.CURE_POLISH, Method.TOUCH_IN})
LAYS_BARE = frozenset({Method.PULL, Method.GRIND, Method.STRIP_OLD, Method.SAND})

Choice = tuple[Method, list[str], list[DraftWarning]]
"""The method, its reason in one sentence, and what to warn of."""


def needs_paint(damage: DraftDamage, reason: str | None) -> DraftWarning:
    """That a damage asked for without paint is planned with it, and why."""
    return DraftWarning(
        "needs_paint",
        f"Damage {damage.number} was to be done without paint, but {reason}. It is planned with paint.",
    )
