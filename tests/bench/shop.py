"""The invented shop of the books to measure on, and its four weeks as a table of the demo's kind."""

from datetime import timedelta
from random import Random

from shopbook.commands.demo.frame import DemoPerson, Row
from shopbook.trade.permissions import Role

JOBS_A_STRETCH = 153
"""Twelve stretches of four weeks and the open days after them come to 1,989 jobs."""
LENGTH = timedelta(days=28)
"""Of a stretch: whole weeks, so that a day of one is the same weekday in every other."""
SEED = 2309
_SOUNDS, _VOWELS = "bdfgklmnprstv", "aeiou"
FIRST_LOOKS = 7
"""Working days of a stretch on which new cars are looked at; in the others they are done and fetched."""
DAYS = 20

_FIRMS = (("Millpond Motors", 12), ("Green Lane Couriers", 8))
_FIRST = """
    Abel Ada Alma Anya Arlo Bea Bo Bram Cleo Dario Dora Emil Enzo Esra Finn Greta Hal Hugo Imani Ines Ira Ivo Jana
    Joan Kofi Leila Lotte Marek Milo Mina Nadia Nils Otis Owen Pia Piet Rosa Ruth Sana Selma Sol Tess Thea Una Vera
"""
_LAST = """
    ard bach bel bert by cott dale den dorf ert fall feld ford gate greve ham hart holm hurst ing kamp kel ker lan
    ler lin low mark mere mont ner nik pool quist rell rick row sen shaw son stad ster ton vik wald well wick worth
"""
_COLOURS = ("blue", "silver", "white", "red", "green", "black", "grey")
_SHAPES = ("hatchback", "sedan", "wagon", "van", "pickup", "coupe")
_HURTS = ("LFW", "LFD", "LRD", "LQ", "RFW", "RFD", "RRD", "RQ", "BO", "TG")
_HOW = ("dM2", "dS1", "cM2", "sM1", "dM2", "dL2")
_BUMPERS = ("FB.fM1", "RB.fM1", "FB.kS1", "RB.fL1")
_ENDS = (("card", 40), ("cash", 12), ("transfer", 14), ("cheque", 8), ("insurer", 14), ("lost:price", 8), ("off", 4))
_BESIDES = (("", 58), ("deposit", 10), ("kerb", 8), ("extra", 8), ("rework:dirt", 6), ("pic", 6), ("decline", 4))


def mark_of(stretch: int) -> str:
    """What is in every name and on every plate of a stretch, and in no word of the trade: stretch 0 bears "zuqo"."""
    if not stretch:
        return "zuqo"
    pairs, last = divmod(stretch, 13)
    return _SOUNDS[last] + _VOWELS[pairs % 5] + _SOUNDS[pairs // 5 % 13] + _VOWELS[stretch % 5]


def phone_of(stretch: int) -> str:
    """What every private phone number of a stretch begins with; four figures follow."""
    return f"555-{stretch:03}-"


def people_for(jobs: int) -> tuple[DemoPerson, ...]:
    """The owner, the desk, and technicians enough for so many jobs in four weeks, every other one a painter."""
    desk = (
        DemoPerson("Noor", "owner", (Role.OWNER, Role.DESK), (), "1024", 4600),
        DemoPerson("Marit", "front desk", (Role.DESK,), (), "2048", 2500),
    )
    skills = (("body", "detail"), ("paint", "detail"))
    many = 2 * -(-jobs // 9)
    return desk + tuple(
        DemoPerson(f"Technician {n + 1}", "technician", (Role.TECHNICIAN,), skills[n % 2], f"{3000 + n}", 3200 + 10 * n)
        for n in range(many)
    )


def rows_for(jobs: int, stretch: int) -> list[Row]:
    """The stretch's cars in the order in which they are looked at; the same but for the names at every call."""
    rng, mark = Random(SEED), mark_of(stretch)
    return [_row(rng, DAYS - 1 - n * FIRST_LOOKS // jobs, mark) for n in range(jobs)]


def _row(rng: Random, days_ago: int, mark: str) -> Row:
    firms, shares = zip(*_FIRMS, ("", 80), strict=True)
    firm = rng.choices(firms, shares)[0]
    who = firm or f"{rng.choice(_FIRST.split())} {mark.capitalize()}{rng.choice(_LAST.split())}"
    car = f"{rng.choice(_COLOURS)} {rng.choice(_SHAPES)}"
    tag = rng.choices(*zip(*_BESIDES, strict=True))[0]
    many = 2 if tag == "decline" else rng.choice((1, 1, 1, 2))
    hurts = [f"{panel}.{rng.choice(_HOW)}" for panel in rng.sample(_HURTS, many)]
    if rng.random() < 0.3:
        hurts.append(rng.choice(_BUMPERS))
    end = rng.choices(*zip(*_ENDS, strict=True))[0]
    return Row.read(f"{days_ago}|{who}|{car}|{' '.join(hurts)}|{end if not firm else 'transfer'}|{tag}")
