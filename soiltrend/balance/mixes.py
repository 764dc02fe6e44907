"""A batch from its ingredients: mixes of mixes allowed, a mix that contains itself refused."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from soiltrend.balance.amounts import Packing, Unit, UnknownUnit, parse_unit
from soiltrend.balance.contents import Contents
from soiltrend.balance.contents import total as total_contents
from soiltrend.balance.ranges import Range, total
from soiltrend.balance.substances import Shelf, Substance, UnknownMaterial, key
from soiltrend.data import load_toml
from soiltrend.errors import Problem, RecordsError
from soiltrend.records.models import Garden, MixPart


@dataclass(frozen=True, slots=True, kw_only=True)
class Portion:
    """What one material brings: kg moist, m³ as put on and kg of each quantity (or each per m²)."""

    substance: Substance
    moist: Range
    volume: Range
    contents: Contents

    def __add__(self, other: "Portion") -> "Portion":
        """Return both together; they must be of the same material."""
        return replace(
            self,
            moist=self.moist + other.moist,
            volume=self.volume + other.volume,
            contents=self.contents + other.contents,
        )

    def __mul__(self, factor: Range | float) -> "Portion":
        return replace(
            self,
            moist=self.moist * factor,
            volume=self.volume * factor,
            contents=self.contents * factor,
        )


def portion(substance: Substance, unit: Unit, amount: Range) -> Portion:
    """Return what ``amount`` (kg for a mass; m³, or m deep, for a volume) of one material brings."""
    by_mass = unit.kind == "mass"
    density = substance.density(unit.packing)
    moist = amount if by_mass else amount * density
    return Portion(
        substance=substance,
        moist=moist,
        volume=amount / density if by_mass else amount,
        contents=substance.per_dry * (moist * substance.dry_matter),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """One making of a mix. ``volume`` is the heap's: liquids soak in, fine fills the gaps of coarse."""

    name: str
    portions: tuple[Portion, ...]

    @property
    def moist(self) -> Range:
        """Return the batch's mass in kg, moist."""
        return total(part.moist for part in self.portions)

    @property
    def volume(self) -> Range:
        """Return the heap's volume in m³: typically that of its solids, at most that of everything."""
        solid = [part.volume for part in self.portions if not part.substance.liquid]
        solids, everything = total(solid), total(part.volume for part in self.portions)
        if len(self.portions) == 1 or solids.typical == 0:
            return everything
        shrink: float = load_toml("soil")["mixes"]["smallest_heap"]["value"]
        return Range(solids.low * shrink, solids.typical, max(everything.high, solids.high))

    @property
    def contents(self) -> Contents:
        """Return the sum of what the parts hold, in kg."""
        return total_contents(part.contents for part in self.portions)


class Store:
    """Everything that can be put on: the grower's mixes, the grower's materials, the table.

    Parameters
    ----------
    garden : Garden
        Its ``materials`` and ``mixes`` are used.

    Raises
    ------
    RecordsError
        A mix contains itself or something unknown; file and row are in the message.
    """

    def __init__(self, garden: Garden) -> None:
        self.units = garden.units
        self._shelf = Shelf(garden.materials)
        self._recipes: dict[tuple[str, ...], list[MixPart]] = {}
        for part in garden.mixes:
            self._recipes.setdefault(key(part.mix), []).append(part)
        self._batches: dict[tuple[str, ...], Batch] = {}
        for recipe in list(self._recipes):
            self._batch(recipe, ())

    def find(self, name: str) -> Batch | Substance:
        """Return the mix or the material that ``name`` means.

        Raises
        ------
        UnknownMaterial
            Nothing has this name.
        """
        words = key(name)
        if words in self._batches:
            return self._batches[words]
        return self._shelf.find(name, also=self.mix_names)

    @property
    def mix_names(self) -> list[str]:
        """Return the names of the mixes as written."""
        return [parts[0].mix for parts in self._recipes.values()]

    def portions(self, name: str, unit: Unit, amount: Range) -> tuple[Portion, ...]:
        """Return what ``amount`` of ``name`` brings, material by material.

        Raises
        ------
        UnknownMaterial
            Nothing has this name.
        UnknownUnit
            Batches of something that is no mix.
        """
        found = self.find(name)
        if isinstance(found, Batch):
            return _of_batch(found, unit, amount)
        if unit.kind == "batch":
            raise UnknownUnit(unit.written, "a mass, volume or depth", f"{name!r} is no mix of mixes.csv.")
        return (portion(found, unit, amount),)

    def _batch(self, recipe: tuple[str, ...], above: tuple[tuple[str, ...], ...]) -> Batch:
        if recipe not in self._batches:
            parts = self._recipes[recipe]
            made = [self._ingredient(part, (*above, recipe)) for part in parts]
            self._batches[recipe] = Batch(name=parts[0].mix, portions=_joined(made))
        return self._batches[recipe]

    def _ingredient(self, part: MixPart, above: tuple[tuple[str, ...], ...]) -> tuple[Portion, ...]:
        words = key(part.material)
        if words in above:
            chain = " > ".join(self._recipes[recipe][0].mix for recipe in (*above, words))
            raise _mix_error(part, "material", "a mix that does not contain itself", chain, "Take it out.")
        try:
            unit = parse_unit(part.unit, self.units, in_mix=True)
            if words in self._recipes:
                return _of_batch(self._batch(words, above), unit, unit.size * part.amount)
            return self._single(part, unit)
        except UnknownUnit as error:
            raise _mix_error(part, "unit", error.expected, repr(error.unit), error.advice) from error
        except UnknownMaterial as error:
            raise _mix_error(part, "material", error.expected, repr(error.name), error.advice) from error

    def _single(self, part: MixPart, unit: Unit) -> tuple[Portion, ...]:
        substance = self._shelf.find(part.material, also=self.mix_names)
        if unit.per_area is not None or unit.kind not in ("mass", "volume"):
            raise UnknownUnit(
                part.unit, "a mass or volume for one batch", "Write for example kg, L or bucket."
            )
        return (portion(substance, unit, unit.size * part.amount),)


def _of_batch(batch: Batch, unit: Unit, amount: Range) -> tuple[Portion, ...]:
    """Return the share of a batch that ``amount`` is, by mass, by the heap's volume or by batches."""
    whole = {"mass": batch.moist, "batch": Range.exact(1.0)}.get(unit.kind, batch.volume)
    share = amount / _packed(whole, unit.packing)
    return tuple(part * share for part in batch.portions)


def _packed(volume: Range, packing: Packing) -> Range:
    """Return the heap's volume as measured: loose takes the upper half of the range, settled the lower."""
    low, typical, high = volume.low, volume.typical, volume.high
    if packing == "loose":
        return Range(typical, (typical + high) / 2, high)
    if packing == "settled":
        return Range(low, (low + typical) / 2, typical)
    return volume


def _joined(made: Iterable[tuple[Portion, ...]]) -> tuple[Portion, ...]:
    """Add up portions of the same material, in the order in which they were named."""
    sums: dict[str, Portion] = {}
    for part in (part for parts in made for part in parts):
        old = sums.get(part.substance.name)
        sums[part.substance.name] = part if old is None else old + part
    return tuple(sums.values())


def _mix_error(part: MixPart, column: str, expected: str, found: str, advice: str) -> RecordsError:
    return RecordsError([Problem("mixes.csv", part.line, column, expected, found, advice)])
