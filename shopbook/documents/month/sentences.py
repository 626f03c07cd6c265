"""The three sentences on top of a month: what is left, what the jobs invoiced earned, what the others carry over."""

from dataclasses import dataclass

from shopbook.documents.month.wording import MonthWording, in_words
from shopbook.trade.results.margin import share_words
from shopbook.trade.results.profit import MonthEarnings
from shopbook.trade.results.work_in_progress import WorkInProgress


@dataclass(frozen=True, slots=True)
class WhatIsLeft:
    """What is left of a month after everything, without and with the owner's own pay (None: nobody said what the owner
    costs); minor units. `owner` is whose pay it is: "Noor’s", "The owners’"."""

    before_pay_minor: int
    after_pay_minor: int | None
    owner: str
    has_fixed: bool = True
    """Whether any fixed cost is entered: without one, the sentence does not say that they are taken off."""


@dataclass(frozen=True, slots=True)
class Shortfalls:
    """Of the jobs invoiced, how many fell short of their plan, and by how much in total; minor units."""

    jobs: int
    total_minor: int


Sentence = tuple[str, ...]
"""A sentence in pieces: every second one is the figure that the eye looks for."""


def sentence_text(sentence: Sentence) -> str:
    """The sentence without its emphasis."""
    return "".join(sentence)


def three_sentences(
    left: WhatIsLeft | None,
    profit: MonthEarnings,
    short: Shortfalls | None,
    work: WorkInProgress,
    wording: MonthWording,
) -> tuple[Sentence, ...]:
    """What stands on top of a month, the same on screen, paper, table and at the command line; of a month before the
    shop began nothing is left and nothing is said of that."""
    is_empty = left is None or (not profit.jobs and not left.before_pay_minor and not left.after_pay_minor)
    first = () if left is None or is_empty else (_left(left, wording),)
    return (*first, _earned(profit, short, wording), _carried(work, wording))


def _left(left: WhatIsLeft, wording: MonthWording) -> Sentence:
    minor, after = left.before_pay_minor, left.after_pay_minor
    costs = "after all wages and fixed costs" if left.has_fixed else "after all wages, with no fixed costs entered"
    head: Sentence = ("", f"{wording.sum_of(minor)} is left", f" of {wording.month} {costs}")
    if minor < 0:
        head = (f"{wording.month} is ", f"{wording.sum_of(-minor)} short", f" {costs}")
    if after is None:
        return (*head[:-1], f"{head[-1]}.")
    end = f" once {left.owner.replace('The ', 'the ')} own pay is taken off."
    amount = f"{wording.sum_of(-after)} short" if after < 0 else f"{wording.sum_of(after)}"
    return (*head[:-1], f"{head[-1]}, {'and ' if (after < 0) is (minor < 0) else ''}", amount, end)


def _earned(profit: MonthEarnings, short: Shortfalls | None, wording: MonthWording) -> Sentence:
    margin = profit.gross
    if not profit.jobs:
        return (f"No job was invoiced in {wording.month}.",)
    who = "The one job invoiced" if profit.jobs == 1 else f"The {profit.jobs} jobs invoiced"
    word = "gross profit" if margin.margin_minor >= 0 else "loss"
    amount = wording.sum_of(abs(margin.margin_minor))
    share = f", {share_words(margin.share_permille)}" if margin.share_permille is not None else ""
    return (f"{who} made a {word} of ", f"{amount}{share}", f"{_short(profit.jobs, short, wording)}.")


def _short(jobs: int, short: Shortfalls | None, wording: MonthWording) -> str:
    if short is None:
        return ""
    if not short.jobs:
        return ", and none fell short of plan" if jobs > 1 else ", no less than planned"
    total = wording.sum_of(short.total_minor)
    if jobs == 1:
        return f", {total} less than planned"
    if short.jobs == 1:
        return f", and one of them fell short of plan by {total}"
    return f", and {in_words(short.jobs)} of them fell short of plan, total {total}"


def _carried(work: WorkInProgress, wording: MonthWording) -> Sentence:
    cars, finished = len(work.in_work) + len(work.finished), len(work.finished)
    if not cars:
        return (f"Every car is invoiced: no cost is carried into {wording.next_month}.",)
    who = (
        "One car not invoiced yet carries "
        if cars == 1
        else f"{in_words(cars).capitalize()} cars not invoiced yet carry "
    )
    return (who, wording.sum_of(work.closing_minor), f" of cost into {wording.next_month}{_finished(cars, finished)}.")


def _finished(cars: int, finished: int) -> str:
    if not finished:
        return ""
    if cars == finished:
        return ", and it is finished" if cars == 1 else ", and all of them are finished"
    return f", and {in_words(finished)} of them {'is' if finished == 1 else 'are'} finished"
