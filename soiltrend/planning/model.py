"""What a plan says: plain data for tables, the page and the printed sheet."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """The next sampling, so that it can be compared with those before it.

    ``month_from`` and ``depth_from`` say whether garden.toml or the records decided; ``methods`` is the
    method of each analyte's last result (empty text where reports do not say).
    """

    on: date
    depth_from_cm: float | None
    depth_to_cm: float | None
    cores: int
    cores_assumed: bool
    lab: str
    methods: dict[str, str]
    beds: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Horizon:
    """What one bed's tests can show once ``tests`` more have been made, the last on ``on``.

    ``smallest`` is the smallest true change since the first test of the series that would be shown eight
    times in ten, in the unit; ``per_year`` the same as a steady rate; ``percent`` as a share of the level
    (None on a raw scale); ``no_change_within`` the margin inside which no change would be shown to lie eight
    times in ten, if nothing changes.
    """

    tests: int
    on: date
    smallest: float
    per_year: float
    percent: float | None
    no_change_within: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What is ahead for one bed and analyte.

    ``years_to_show`` maps a share of the level to the year in which such a change would be shown, None
    beyond the furthest test and on a raw scale.
    ``overstatement`` is by how much a result that counts as shown after the last horizon would overstate a
    true change of ``true_change`` (a share of the level), None on a raw scale.
    """

    bed: str
    analyte: str
    unit: str
    method: str
    n: int
    since: date
    horizons: tuple[Horizon, ...]
    years_to_show: dict[float, int | None]
    true_change: float
    overstatement: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DifferenceAhead:
    """The smallest true difference in yearly change between groups that later tests would show.

    ``per_year`` maps the number of further tests to the difference in ``unit`` per year, ``percent`` to a
    share of the level per year; None where a group has no bed.
    """

    analyte: str
    unit: str
    group: str
    reference: str
    beds: int
    reference_beds: int
    per_year: dict[int, float | None]
    percent: dict[int, float | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lever:
    """One way to see more, and how many yearly tests it saves (median over beds).

    ``years_earned`` is None where the present practice would not get there in ``at_most`` years.
    """

    code: str
    analyte: str
    text: str
    years_earned: float | None
    at_most: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Warning:
    """Where the sampling so far was not as planned, or not alike from visit to visit."""

    code: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One bed on the sampling sheet. ``bag`` is the name to write on the bag, as the laboratory knows it."""

    number: int
    bed: str
    bag: str
    treatment: str
    area_m2: float | None
    last_on: date | None
    remarks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What next year's sampling can and cannot show, and how to go about it."""

    garden: str
    visit: Visit | None = None
    outlooks: tuple[Outlook, ...] = ()
    differences: tuple[DifferenceAhead, ...] = ()
    levers: tuple[Lever, ...] = ()
    warnings: tuple[Warning, ...] = ()
    sheet: tuple[SheetRow, ...] = ()
    future: tuple[date, ...] = ()
    advice: tuple[str, ...] = ()
