"""A book's figures worked out anew by pandas from the accountant's files alone: nothing of the program is called here.

Amounts are whole minor units, quantities thousandths, days ISO text; how a column is written is read from columns.csv.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import pandas

Frame = pandas.DataFrame
USED = ("issued", "returned_from_stage")
MONTHS = {"month": 1, "quarter": 3, "year": 12}


def in_units(words: str) -> int:
    """A plain decimal as whole units of its last place, never through a float."""
    return int(words.replace(".", "")) if words else 0


def said(minor: int) -> str:
    """Minor units as a book of the United States prints them: "1,234.50"."""
    sign, (whole, part) = "−" if minor < 0 else "", divmod(abs(minor), 100)
    return f"{sign}{whole:,}.{part:02d}"


_READ: Mapping[str, Callable[[str], Any]] = {
    "whole number": lambda words: int(words) if words else 0,
    "amount": in_units,
    "quantity": in_units,
    "percent": in_units,
}


def split_over(total: int, weights: Mapping[int, int]) -> dict[int, int]:
    """A sum in proportion to weights, halves away from zero; what rounding leaves goes to the largest, the first of
    equals."""
    whole = sum(weights.values())
    parts = {key: _rounded(total * weight, whole) for key, weight in weights.items()}
    if parts:
        parts[max(weights, key=lambda key: (weights[key], -key))] += total - sum(parts.values())
    return parts


def _rounded(top: int, bottom: int) -> int:
    sign = -1 if top < 0 else 1
    return sign * ((2 * abs(top) + bottom) // (2 * bottom))


@dataclass(frozen=True, slots=True)
class Course:
    """Where the cost of one job stands in a month, in minor units."""

    opening: int = 0
    added: int = 0
    invoiced: int = 0
    cancelled: int = 0
    further: int = 0
    later: int = 0

    @property
    def closing(self) -> int:
        return self.opening + self.added - self.invoiced - self.cancelled


class Files:
    """The files of one folder, from the first day of a book on."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._read: dict[str, Frame] = {}

    def text(self, code: str) -> Frame:
        """One file as text."""
        return pandas.read_csv(self.folder / f"{code}.csv", dtype=str, keep_default_na=False, encoding="utf-8-sig")

    @cached_property
    def _kinds(self) -> dict[tuple[str, str], str]:
        rows = self.text("columns").itertuples()
        return {(row.file.removesuffix(".csv"), row.column): row.kind for row in rows}

    def table(self, code: str) -> Frame:
        """One file with its figures as whole numbers; an empty key is 0."""
        if code not in self._read:
            frame = self.text(code)
            for column in frame.columns:
                read = _READ.get(self._kinds[code, column])
                if read is not None:
                    frame[column] = pandas.Series([read(each) for each in frame[column]], dtype="int64")
            self._read[code] = frame
        return self._read[code]

    def between(self, code: str, first: str, last: str, day: str = "on") -> Frame:
        """The rows of some days, both included."""
        frame = self.table(code)
        return frame[(frame[day] >= first) & (frame[day] <= last)]

    def sales_by_kind(self, first: str, last: str) -> dict[str, int]:
        return _sums(self.between("invoice_lines", first, last, "issued_on"), ["kind"], "net")

    def tax_by_rate(self, first: str, last: str) -> dict[tuple[str, int], tuple[int, int]]:
        """On the basis by invoice: (code, thousandths of a percent) to basis and tax."""
        rows = self.between("tax_rows", first, last, "issued_on")
        basis, tax = (_sums(rows, ["code", "rate"], column) for column in ("basis", "tax"))
        return {key: (basis[key], tax[key]) for key in basis}

    def owed_on(self, day: str) -> dict[tuple[int, int], int]:
        """What each customer owes of each invoice when a day ends, (invoice, customer) to amount; zeros left out."""
        papers = self.between("invoices", "", day, "issued_on")[["invoice_id", "credits_invoice_id"]]
        shares = self.between("payers", "", day).merge(papers, on="invoice_id")
        shares["of"] = shares["credits_invoice_id"].where(shares["credits_invoice_id"] > 0, shares["invoice_id"])
        owed = _sums(shares, ["of", "customer_id"], "share")
        for key, paid in _sums(self.between("allocations", "", day), ["invoice_id", "customer_id"], "amount").items():
            owed[key] = owed.get(key, 0) - paid
        return {key: amount for key, amount in owed.items() if amount}

    def held_on(self, day: str, *, with_security: bool = True) -> int:
        """Money that came in by a day and is set against nothing and was not given back."""
        came, against = self.between("payments", "", day), self.between("allocations", "", day)
        if not with_security:
            securities = set(came[came["kind"] == "security"]["payment_id"])
            came = came[~came["payment_id"].isin(securities) & ~came["reverses_payment_id"].isin(securities)]
        known = set(came["payment_id"])
        return int(came["amount"].sum()) - int(against[against["payment_id"].isin(known)]["amount"].sum())

    def paid_by_means(self, first: str, last: str) -> dict[str, int]:
        """Money in, less money given back, by means: what has a receipt."""
        rows = self.between("payments", first, last)
        return _nonzero(_sums(rows[rows["series"] == "receipt"], ["means"], "amount"))

    def labour_by_job(self, first: str, last: str) -> dict[int, int]:
        return _sums(self.between("clock_shares", first, last), ["job_number"], "cost")

    def attended(self, first: str, last: str) -> dict[int, tuple[int, int]]:
        """Minutes here and what they cost, by person."""
        rows = self.between("attendance", first, last)
        minutes, cost = (_sums(rows, ["person_id"], column) for column in ("minutes", "cost"))
        return {key: (minutes[key], cost[key]) for key in minutes if minutes[key]}

    def on_cars(self, first: str, last: str) -> dict[int, int]:
        """Minutes clocked on jobs, by person."""
        return _nonzero(_sums(self.between("clock_shares", first, last), ["person_id"], "minutes"))

    def stock_on(self, day: str) -> dict[int, tuple[int, int]]:
        """Quantity and value of each material when a day ends; zeros left out."""
        rows = self.between("movements", "", day)
        quantity, value = (_sums(rows, ["material_id"], column) for column in ("quantity", "value"))
        return {key: (quantity[key], value[key]) for key in quantity if quantity[key] or value[key]}

    @cached_property
    def costs(self) -> Frame:
        """Every cost of a job but shop supplies: job_id, on, cost."""
        clocked, bought, moved = self.table("clock_shares"), self.table("bought_parts"), self.table("movements")
        drawn = moved[moved["kind"].isin(USED) & (moved["job_id"] > 0)].assign(cost=lambda rows: -rows["value"])
        return pandas.concat([part[["job_id", "on", "cost"]] for part in (clocked, bought, drawn)])

    def supplies(self, month: str) -> dict[int, int]:
        """The share of shop supplies opened in a month ("2026-11") of each job worked on in it, by minutes."""
        moved, clocked = self.table("movements"), self.table("clock_shares")
        of_month = moved[moved["on"].str.startswith(month) & moved["kind"].isin(USED) & (moved["job_id"] == 0)]
        minutes = _sums(clocked[clocked["on"].str.startswith(month)], ["job_id"], "minutes")
        return split_over(-int(of_month["value"].sum()), {job: each for job, each in minutes.items() if each > 0})

    def cost_up_to(self, month: str) -> dict[int, int]:
        """What each job cost in all months before one, supplies too."""
        before = self.costs[self.costs["on"] < f"{month}-01"]
        found = _sums(before, ["job_id"], "cost")
        for earlier in sorted({day[:7] for day in self.table("movements")["on"] if day[:7] < month}):
            for job, share in self.supplies(earlier).items():
                found[job] = found.get(job, 0) + share
        return found

    def work_in_progress(self, month: str) -> dict[int, Course]:
        """By number of the job, of jobs that somebody pays for."""
        jobs = self.table("jobs")
        paying = jobs[(jobs["purpose"] == "paid") & (jobs["is_sample"] == "no")]
        papers = self.table("invoices")
        firsts = papers[(papers["kind"] == "invoice") & (papers["corrects_invoice_id"] == 0)].sort_values("issued_on")
        invoiced = {job: list(rows) for job, rows in firsts.groupby("job_id")["issued_on"]}
        before, supplies = self.cost_up_to(month), self.supplies(month)
        spent = self.costs[self.costs["on"].str.startswith(month)]
        found = {}
        for job in paying.itertuples():
            own = spent[spent["job_id"] == job.job_id]
            days, share = invoiced.get(job.job_id, []), supplies.get(job.job_id, 0)
            found[job.job_number] = _course(month, before.get(job.job_id, 0), own, share, days, job.cancelled_on)
        return found

    def apart(self, month: str) -> int:
        """The cost of a month of comebacks, goodwill and own cars, whole."""
        jobs = self.table("jobs")
        keys = set(jobs[(jobs["purpose"] != "paid") | (jobs["is_sample"] == "yes")]["job_id"])
        spent = self.costs[self.costs["on"].str.startswith(month) & self.costs["job_id"].isin(keys)]
        return int(spent["cost"].sum()) + sum(share for job, share in self.supplies(month).items() if job in keys)

    def months(self) -> Iterator[str]:
        """Every month in which something was issued, clocked, moved or paid."""
        days = [self.table(code)[day] for code, day in (("invoices", "issued_on"), ("payments", "on"))]
        days += [self.table(code)["on"] for code in ("clock_shares", "movements", "bought_parts")]
        yield from sorted({day[:7] for each in days for day in each})


def _course(month: str, before: int, spent: Frame, supplies: int, invoiced: list[str], cancelled_on: str) -> Course:
    """The rule of work in progress for one job: `invoiced` are the days of its invoices, oldest first."""
    whole, starts = int(spent["cost"].sum()) + supplies, f"{month}-01"
    billed = [day for day in invoiced if day.startswith(month)]
    if any(day < starts for day in invoiced):
        return Course(further=whole) if billed else Course(later=whole)
    if cancelled_on and cancelled_on < starts:
        return Course(further=whole) if billed else Course(added=whole, cancelled=whole)
    if billed:
        taken = int(spent[spent["on"] <= billed[0]]["cost"].sum()) + supplies
        rest = whole - taken
        is_further = len(billed) > 1
        return Course(before, taken, before + taken, 0, rest if is_further else 0, 0 if is_further else rest)
    if cancelled_on and cancelled_on[:7] == month:
        return Course(before, whole, cancelled=before + whole)
    return Course(before, whole)


def _sums(rows: Frame, keys: list[str], column: str) -> dict[Any, int]:
    found = rows.groupby(keys)[column].sum()
    return {key[0] if isinstance(key, tuple) and len(keys) == 1 else key: int(each) for key, each in found.items()}


def _nonzero(sums: dict[Any, int]) -> dict[Any, int]:
    return {key: each for key, each in sums.items() if each}
