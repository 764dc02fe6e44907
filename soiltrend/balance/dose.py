"""Planning an application: how much, what it carries, the most it could change, whether a test sees it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from soiltrend.balance.amounts import UnknownUnit, parse_rate
from soiltrend.balance.applications import UnknownBed, targets
from soiltrend.balance.cautions import cautions
from soiltrend.balance.dosing import Plan, Share, depth_cm
from soiltrend.balance.effect import Effect, noise_levels
from soiltrend.balance.mixes import Portion
from soiltrend.balance.model import unique
from soiltrend.balance.ranges import Range, total
from soiltrend.balance.substances import UnknownMaterial
from soiltrend.balance.vessels import shown
from soiltrend.balance.wording import rounded
from soiltrend.errors import SoiltrendError
from soiltrend.records.models import Bed, Garden

if TYPE_CHECKING:
    from soiltrend.trends import Trend

COLUMNS = (
    "bed",
    "what",
    "name",
    "low",
    "typical",
    "high",
    "unit",
    "largest",
    "smallest_detectable",
    "visible",
)
CARRIED = ("dry_mass", "organic_matter", "char_carbon", "n", "p", "k", "salts", "lime_equivalent")


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """A planned application: one share per bed or for the containers, and the cautions."""

    material: str
    rate: str
    units: str
    shares: tuple[Share, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...] = ()

    def records(self) -> list[dict[str, Any]]:
        """Return rows as :data:`COLUMNS`: ``amount``, ``ingredient``, ``carries``, ``change``.

        ``change`` rows give the expected change after a year (low, typical, high), the ``largest`` if
        nothing is lost, the ``smallest_detectable`` difference of two single tests, and whether it is
        ``visible`` (``yes``, ``perhaps`` or ``no``).
        """
        rows = [row for share in self.shares for row in _share_rows(self, share)]
        if len(self.shares) > 1 and not any(share.per_m2 for share in self.shares):
            rows.extend(_amount_rows(self, _together(self.shares)))
        return rows


def dose(
    garden: Garden,
    material: str,
    rate: str,
    *,
    today: date,
    beds: Sequence[str] = (),
    containers: str | None = None,
    mixed_to: str | None = None,
    trends: "Sequence[Trend]" = (),
    smallest_detectable: Mapping[tuple[str, str], float] | None = None,
) -> Dose:
    """Return what an application would need, carry and could change.

    Parameters
    ----------
    garden : Garden
        For areas, materials, mixes, sampling depth and units.
    material : str
        A material or a mix.
    rate : str
        ``1 gal/10 ft2``, ``2 in deep``, ``3 buckets`` (for each bed), or ``5 %`` of the volume.
    today : date
        The day of the plan.
    beds : sequence of str
        Beds or treatments; all beds where empty.
    containers : str, optional
        Pots instead of beds, as ``12 x 5 gal``; the rate is then a share, or an amount for each pot.
    mixed_to : str, optional
        Depth it is dug in to, as ``6 in`` or ``15 cm``; else the sampling depth.
    trends : sequence of Trend
        For present levels and the noise of one test.
    smallest_detectable : mapping, optional
        (bed, analyte) → smallest difference that a test can show; else from the noise of ``trends``.

    Raises
    ------
    SoiltrendError
        Unknown material, bed or unit; a rate that does not fit.
    """
    try:
        planned = Plan(garden, material, rate, today, depth_cm(mixed_to))
        if containers is not None:
            shares: tuple[Share, ...] = (planned.potted(containers),)
        else:
            wanted = _beds(garden, beds)
            noise = smallest_detectable or noise_levels(trends)
            shares = tuple(planned.share(bed, trends, noise) for bed in wanted)
    except UnknownBed as error:
        raise SoiltrendError(
            f"bed: expected {error.expected}, found {error.name!r}. {error.advice}"
        ) from error
    except (UnknownMaterial, UnknownUnit) as error:
        raise SoiltrendError(f"dose: {error}") from error
    substances = [part.substance for share in shares for part in share.portions]
    notes = unique(note for substance in substances for note in substance.notes)
    return Dose(
        material=material,
        rate=rate,
        units=garden.units,
        shares=shares,
        cautions=cautions(substances, planned.per_m2),
        notes=notes,
    )


def _beds(garden: Garden, names: Sequence[str]) -> tuple[Bed, ...]:
    if not garden.beds and not names:
        raise SoiltrendError("dose: expected beds in beds.csv or --containers, found neither. Add a bed.")
    found = [bed for name in names or ("all",) for bed in targets(name, garden)]
    return tuple({bed.bed: bed for bed in found}.values())


def _together(shares: Sequence[Share]) -> Share:
    sums: dict[str, Portion] = {}
    for part in (part for share in shares for part in share.portions):
        old = sums.get(part.substance.name)
        sums[part.substance.name] = part if old is None else old + part
    heaps = [share.heap for share in shares if share.heap is not None]
    heap = total(heaps) if len(heaps) == len(shares) else None
    return Share(bed="all", portions=tuple(sums.values()), heap=heap)


def _share_rows(planned: Dose, share: Share) -> list[dict[str, Any]]:
    rows = _amount_rows(planned, share)
    rows.extend(_carried_rows(planned, share))
    rows.extend(_effect_row(share, effect) for effect in share.effects)
    return rows


def _amount_rows(planned: Dose, share: Share) -> list[dict[str, Any]]:
    per = "/m2" if share.per_m2 else ""
    rows = [
        _row(share.bed, "amount", planned.material, value, unit + per)
        for unit, value in shown(share.portions, planned.units, share.heap)
    ]
    if len(share.portions) > 1:
        rows += [
            _row(share.bed, "ingredient", *named, unit + per) for named, unit in _ingredients(planned, share)
        ]
    return rows


def _ingredients(planned: Dose, share: Share) -> Iterable[tuple[tuple[str, Range], str]]:
    for part in share.portions:
        for unit, value in shown((part,), planned.units, part.volume)[:2]:
            yield (part.substance.name, value), unit


def _carried_rows(planned: Dose, share: Share) -> list[dict[str, Any]]:
    pound = 1.0 if share.per_m2 or planned.units != "us" else 1.0 / parse_rate("1 lb")[1].size.typical
    unit = "kg/m2" if share.per_m2 else ("lb" if planned.units == "us" else "kg")
    held = share.contents
    return [_row(share.bed, "carries", name, held[name] * pound, unit) for name in CARRIED]


def _effect_row(share: Share, effect: Effect) -> dict[str, Any]:
    row = _row(share.bed, effect.what, effect.analyte, effect.expected, effect.unit)
    row.update(
        largest=rounded(effect.largest),
        smallest_detectable=rounded(effect.smallest_detectable),
        visible=effect.visible,
    )
    return row


def _row(bed: str, what: str, name: str, value: Range, unit: str) -> dict[str, Any]:
    row: dict[str, Any] = dict.fromkeys(COLUMNS)
    ends = {"low": value.low, "typical": value.typical, "high": value.high}
    row.update(bed=bed, what=what, name=name, unit=unit)
    row.update({end: rounded(number) for end, number in ends.items()})
    return row
