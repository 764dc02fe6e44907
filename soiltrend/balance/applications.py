"""amendments.csv → what lies on each square metre, or every row that cannot be used, named at once."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from soiltrend.balance.amounts import Unit, UnknownUnit, nearest, parse_unit
from soiltrend.balance.mixes import Portion, Store
from soiltrend.balance.model import Applied, Balance
from soiltrend.balance.substances import UnknownMaterial
from soiltrend.data import load_toml
from soiltrend.errors import Problem, RecordsError
from soiltrend.records.models import Amendment, Bed, Garden

FILE = "amendments.csv"


def build(garden: Garden, today: date) -> Balance:
    """Return what was put on every bed of ``garden`` up to ``today``.

    An application older than the first soil report is kept: it acted before the baseline and does
    not count to a change after it.

    Raises
    ------
    RecordsError
        A row of amendments.csv, materials.csv or mixes.csv cannot be used: unknown bed, material or
        unit, an amount for a bed without area, a date in the future or before any garden. All rows
        at fault are named.
    """
    store = Store(garden)
    problems: list[Problem] = []
    applied: list[Applied] = []
    for amendment in garden.amendments:
        wrong = _misdated(amendment, today)
        try:
            if not wrong:
                applied.extend(_apply(amendment, garden, store))
        except RecordsError as error:
            wrong = list(error.problems)
        problems.extend(wrong)
    if problems:
        raise RecordsError(problems)
    return Balance(garden=garden, today=today, applied=tuple(sorted(applied, key=lambda one: one.on)))


def _misdated(amendment: Amendment, today: date) -> list[Problem]:
    first: int = load_toml("soil")["dates"]["first_year"]
    if date(first, 1, 1) <= amendment.date <= today:
        return []
    expected = f"a day from {first} up to today, {today.isoformat()}"
    return [_problem(amendment, "date", expected, amendment.date.isoformat(), "Check the year.")]


def _apply(amendment: Amendment, garden: Garden, store: Store) -> Iterable[Applied]:
    try:
        unit = parse_unit(amendment.unit, garden.units)
        beds = targets(amendment.bed, garden)
        if unit.needs_area:
            _need_areas(amendment, beds)
        return [_on_bed(amendment, bed, unit, store) for bed in beds]
    except UnknownUnit as error:
        found = _problem(amendment, "unit", error.expected, repr(error.unit), error.advice)
    except UnknownMaterial as error:
        found = _problem(amendment, "material", error.expected, repr(error.name), error.advice)
    except UnknownBed as error:
        found = _problem(amendment, "bed", error.expected, repr(error.name), error.advice)
    raise RecordsError([found])


def _on_bed(amendment: Amendment, bed: Bed, unit: Unit, store: Store) -> Applied:
    amount = unit.per_m2(amendment.amount, bed.area_m2)
    portions: tuple[Portion, ...] = store.portions(amendment.material, unit, amount)
    return Applied(
        bed=bed.bed,
        on=amendment.date,
        material=amendment.material,
        amount=amendment.amount,
        unit=amendment.unit,
        line=amendment.line,
        mixed_to_cm=amendment.mixed_to_cm,
        portions=portions,
    )


@dataclass
class UnknownBed(Exception):  # noqa: N818 -- turned into a RecordsError with file and row at once
    """No bed and no treatment has this name."""

    name: str
    near: list[str]

    @property
    def expected(self) -> str:
        """What should have stood there."""
        return "a bed of beds.csv, a treatment or 'all'"

    @property
    def advice(self) -> str:
        """What to do about it."""
        return f"Nearest known: {', '.join(self.near)}." if self.near else "Add the bed to beds.csv."


def targets(name: str, garden: Garden) -> tuple[Bed, ...]:
    """Return the beds that ``name`` means: ``all``, a bed (or what labs called it), or a treatment.

    Raises
    ------
    UnknownBed
        It means none.
    """
    wanted = name.strip().lower()
    if wanted == "all":
        return garden.beds
    named = tuple(bed for bed in garden.beds if bed.bed.lower() == wanted)
    called = tuple(bed for bed in garden.beds if wanted in (alias.lower() for alias in bed.also_called))
    treated = tuple(bed for bed in garden.beds if wanted and bed.treatment.lower() == wanted)
    found = named or called or treated
    if not found:
        known = [bed.bed for bed in garden.beds] + [bed.treatment for bed in garden.beds if bed.treatment]
        raise UnknownBed(name, _as_written(nearest(name, {word.lower() for word in known}), known))
    return found


def _as_written(near: list[str], known: list[str]) -> list[str]:
    return [next(word for word in known if word.lower() == one) for one in near]


def _need_areas(amendment: Amendment, beds: Iterable[Bed]) -> None:
    without = [bed for bed in beds if bed.area_m2 is None]
    if without:
        names = ", ".join(bed.bed for bed in without)
        advice = "Give its area_m2 or area_ft2 in beds.csv, or the amount per area (kg/m2, gal/10 ft2)."
        expected = f"a bed with an area for an amount in {amendment.unit!r}"
        raise RecordsError([_problem(amendment, "bed", expected, f"no area for {names}", advice)])


def _problem(amendment: Amendment, column: str, expected: str, found: str, advice: str) -> Problem:
    return Problem(FILE, amendment.line, column, expected, found, advice)
