"""A car in a line, as screens and papers name it."""


def spoken_car(colour_name: str, description: str) -> str:
    """A car as somebody says it: "grey wagon"; "car" where nothing is known."""
    return " ".join(part for part in (colour_name, description) if part) or "car"


def car_words(year: int | None, description: str, colour_name: str = "", plate: str = "") -> str:
    """Year and kind, colour and plate, as far as known: "2017 hatchback, blue, AB 123"; "car" where nothing is."""
    kind = " ".join(str(part) for part in (year, description.strip() or "car") if part)
    return ", ".join(part for part in (kind, colour_name.strip(), plate.strip()) if part)
