"""In what air a product may be worked by its own data sheet, and what is to be said of a day outside it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from shopbook.trade.measures.units import say_degrees

TENTHS = ("lowest_tenths", "highest_tenths")
RANGE_FIELDS = (*TENTHS, "most_humidity")
"""What of a data sheet is kept for it: tenths of °C, and percent of relative humidity."""


@dataclass(frozen=True, slots=True)
class ProductRange:
    """One product that stands for a role of the catalogue; °C and percent, None where its sheet was not typed."""

    role: str
    name: str
    lowest_c: float | None = None
    highest_c: float | None = None
    most_humidity: float | None = None

    def warnings(self, temperature_c: float, humidity: float) -> tuple[str, ...]:
        """Sentences on a day that its sheet does not allow; none is no promise, for the metal may be colder."""
        found = []
        low, high = self.lowest_c, self.highest_c
        if (low is not None and temperature_c < low) or (high is not None and temperature_c > high):
            found.append(f"{self.name}: its data sheet asks for {self._asked()}, not {say_degrees(temperature_c)}.")
        if self.most_humidity is not None and humidity > self.most_humidity:
            found.append(
                f"{self.name}: its data sheet asks for at most {self.most_humidity:g} % humidity, not {humidity:g} %."
            )
        return tuple(found)

    def allows_cold(self, temperature_c: float) -> bool:
        """Whether its own sheet names a lowest temperature, and the day is not under it."""
        return self.lowest_c is not None and temperature_c >= self.lowest_c

    def _asked(self) -> str:
        if self.highest_c is None:
            return f"at least {say_degrees(self.lowest_c or 0)}"
        if self.lowest_c is None:
            return f"at most {say_degrees(self.highest_c)}"
        return f"{say_degrees(self.lowest_c)} to {say_degrees(self.highest_c)}"


def range_of(role: str, name: str, sheet: Mapping[str, Any]) -> ProductRange | None:
    """The range among a data sheet's figures; None where none of it was typed."""
    low, high = (None if sheet.get(each) is None else sheet[each] / 10 for each in TENTHS)
    humid = sheet.get("most_humidity")
    return None if low is high is humid is None else ProductRange(role, name, low, high, humid)
