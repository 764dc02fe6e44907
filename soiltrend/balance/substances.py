"""Materials: published compositions, the grower's own on top of them, and the names growers write."""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from soiltrend.balance.amounts import Packing, nearest
from soiltrend.balance.contents import QUANTITIES, Contents
from soiltrend.balance.ranges import Range
from soiltrend.data import load_csv
from soiltrend.errors import Problem, RecordsError, SoiltrendError
from soiltrend.records.models import Material

UNLISTED = "unlisted material"
_TABLED = tuple(q for q in QUANTITIES if q not in ("dry_mass", "char_matter"))


class UnknownMaterial(SoiltrendError):  # noqa: N818
    """No material or mix has this name; the message names the nearest known ones."""

    def __init__(self, name: str, near: Sequence[str]) -> None:
        self.name, self.near = name, tuple(near)
        super().__init__(f"material: expected {self.expected}, found {name!r}. {self.advice}")

    @property
    def expected(self) -> str:
        """What should have stood there."""
        return "a known material, one of materials.csv or a mix of mixes.csv"

    @property
    def advice(self) -> str:
        """What to do about it."""
        own = "describe it in materials.csv"
        return f"Nearest known: {', '.join(self.near)}; or {own}." if self.near else f"Please {own}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Substance:
    """One material. ``per_dry`` is kg per kg of dry mass, ``dry_matter`` a fraction of the moist mass.

    ``bulk_density`` is kg/m³ as it is put on, moist. ``group`` is its row in retention.csv, ``tags``
    the cautions it calls for, ``known_as`` the table's material it was read as or filled up from,
    ``notes`` what was filled up.
    """

    name: str
    known_as: str
    group: str
    tags: frozenset[str]
    bulk_density: Range
    dry_matter: Range
    per_dry: Contents
    own: bool = False
    notes: tuple[str, ...] = ()
    sources: tuple[str, ...] = field(default=(), repr=False)

    @property
    def liquid(self) -> bool:
        """Whether it soaks into a heap instead of adding to its volume."""
        return "liquid" in self.tags

    def density(self, packing: Packing = "") -> Range:
        """Return kg/m³ as put on: the lower half of the range for loose, the upper half for settled."""
        low, typical, high = self.bulk_density.low, self.bulk_density.typical, self.bulk_density.high
        if packing == "loose":
            return Range(low, (low + typical) / 2, typical)
        if packing == "settled":
            return Range(typical, (typical + high) / 2, high)
        return self.bulk_density


def key(name: str) -> tuple[str, ...]:
    """Return the words of a name, lower-case, without accents and plural, in alphabetical order."""
    plain = unicodedata.normalize("NFKD", name.lower().replace("ß", "ss")).encode("ascii", "ignore").decode()
    words = re.findall(r"[0-9.]+(?:-[0-9.]+)+|[a-z0-9.]+", plain)
    small = {"of", "the", "a", "an", "and", "de", "du", "from", "with", "in"}
    return tuple(sorted(_singular(word.strip(".")) for word in words if word not in small))


def _singular(word: str) -> str:
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "as")):
        return word[:-1]
    return word


@cache
def tabled() -> dict[str, Substance]:
    """Return every material of the published table by its name."""
    cells: dict[str, dict[str, tuple[Range, str]]] = {}
    for row in load_csv("compositions"):
        ends = Range(float(row["low"]), float(row["typical"]), float(row["high"]))
        cells.setdefault(row["material"], {})[row["quantity"]] = (ends, row["source"])
    found: dict[str, Substance] = {}
    for row in load_csv("materials"):
        name = row["material"]
        cells[name] = {**cells.get(row["like"], {}), **cells.get(name, {})}
        found[name] = _from_cells(name, row["group"], row["tags"], cells[name])
    return found


def _from_cells(name: str, group: str, tags: str, cells: dict[str, tuple[Range, str]]) -> Substance:
    percent = {quantity: cells[quantity][0] / 100 for quantity in _TABLED}
    return Substance(
        name=name,
        known_as=name,
        group=group,
        tags=frozenset(filter(None, tags.split(";"))),
        bulk_density=cells["bulk_density"][0],
        dry_matter=cells["dry_matter"][0] / 100,
        per_dry=_with_char(Contents(dry_mass=Range.exact(1.0), **percent)),
        sources=tuple(dict.fromkeys(source for _, source in cells.values())),
    )


def _with_char(per_dry: Contents) -> Contents:
    """Fill in char's part of the organic matter: in proportion to its part of the carbon."""
    share = _ratio(per_dry.char_carbon, per_dry.carbon)
    return replace(per_dry, char_matter=per_dry.organic_matter * min(1.0, share))


def _ratio(part: Range, whole: Range) -> float:
    return part.typical / whole.typical if whole.typical else 0.0


@cache
def _names() -> dict[tuple[str, ...], str]:
    names = {key(row["material"]): row["material"] for row in load_csv("materials")}
    for row in load_csv("materials"):
        for alias in filter(None, row["aliases"].split(";")):
            names.setdefault(key(alias), row["material"])
    return names


def known_names() -> list[str]:
    """Return the names and aliases of the table as they are written there."""
    rows = load_csv("materials")
    aliases = (alias for row in rows for alias in row["aliases"].split(";") if alias)
    return [row["material"] for row in rows if row["material"] != UNLISTED] + list(aliases)


class Shelf:
    """The grower's own materials before the table: looks a written name up.

    Raises
    ------
    RecordsError
        An own material holds more carbon than organic matter, or more char carbon than carbon.
    """

    def __init__(self, materials: Iterable[Material] = ()) -> None:
        own = tuple(materials)
        problems = [problem for material in own for problem in _contradictions(material)]
        if problems:
            raise RecordsError(problems)
        self._own = {key(material.material): _own_substance(material) for material in own}
        self._own_names = [material.material for material in own]

    def find(self, name: str, also: Iterable[str] = ()) -> Substance:
        """Return the material that ``name`` means; ``also`` are further names to suggest (mixes).

        Raises
        ------
        UnknownMaterial
            Nothing has this name; an analysis such as ``5-10-10`` in the name is understood.
        """
        words = key(name)
        if words in self._own:
            return self._own[words]
        if words in _names():
            return tabled()[_names()[words]]
        graded = _graded(name)
        if graded is not None:
            return graded
        raise UnknownMaterial(name, nearest(name, [*also, *self._own_names, *known_names()]))


def _contradictions(material: Material) -> list[Problem]:
    pairs = (("carbon_pct", "organic_matter_pct"), ("char_carbon_pct", "carbon_pct"))
    problems = []
    for part, whole in pairs:
        less, more = getattr(material, part), getattr(material, whole)
        if less is not None and more is not None and less > more:
            expected, advice = f"at most {whole} ({more:g})", "Both are percent of the dry mass."
            problems.append(Problem("materials.csv", material.line, part, expected, f"{less:g}", advice))
    return problems


def kin(name: str) -> Substance:
    """Return the table's material that stands in for what ``name`` leaves open.

    The same name, else the longest name of the table whose words all stand in it, else the wide
    row for what nobody knows.
    """
    words = set(key(name))
    inside = [(len(k), name) for k, name in _names().items() if name != UNLISTED and set(k) <= words]
    return tabled()[max(inside)[1]] if inside else tabled()[UNLISTED]


def _own_substance(material: Material) -> Substance:
    like = kin(material.material)
    given = {
        quantity: Range.exact(value / 100)
        for quantity in QUANTITIES
        if (value := getattr(material, f"{quantity}_pct", None)) is not None
    }
    per_dry = _with_char(replace(like.per_dry, **_complete(given, like.per_dry)))
    dry_matter = Range.exact(material.dry_matter_pct / 100)
    density = material.bulk_density_kg_m3
    dry_density = like.bulk_density * like.dry_matter  # wetter is heavier: the solids fill the same room
    return replace(
        like,
        name=material.material,
        bulk_density=dry_density / dry_matter if density is None else Range.exact(density),
        dry_matter=dry_matter,
        per_dry=per_dry,
        own=True,
        notes=_filled(material, like),
        sources=(material.source or "the grower's materials.csv", *like.sources),
    )


def _complete(given: dict[str, Range], like: Contents) -> dict[str, Range]:
    """Carry what is given over to what is not: carbon and organic matter imply each other."""
    cells = dict(given)
    if "carbon" not in given and "char_carbon" in given and _ratio(like.char_carbon, like.carbon) == 1:
        cells["carbon"] = given["char_carbon"]
    if "organic_matter" in cells and "carbon" not in cells:
        cells["carbon"] = cells["organic_matter"] * _ratio(like.carbon, like.organic_matter)
    if "carbon" in cells and "organic_matter" not in cells and like.carbon.typical:
        scaled = cells["carbon"] * (like.organic_matter.typical / like.carbon.typical)
        cells["organic_matter"] = _capped(scaled)
    if "carbon" in cells and "char_carbon" not in cells:
        cells["char_carbon"] = cells["carbon"] * _ratio(like.char_carbon, like.carbon)
    return cells


def _capped(share: Range) -> Range:
    return Range(min(share.low, 1.0), min(share.typical, 1.0), min(share.high, 1.0))


def _filled(material: Material, like: Substance) -> tuple[str, ...]:
    columns = ["bulk_density_kg_m3", "organic_matter_pct", "carbon_pct", "n_pct", "p_pct", "k_pct"]
    missing = [column for column in columns if getattr(material, column) is None]
    if not missing:
        return ()
    return (f"{material.material}: {', '.join(missing)} taken from the published range of {like.name}",)


def _graded(name: str) -> Substance | None:
    """Return a fertilizer from the analysis in its name: N, P2O5 and K2O in percent as sold."""
    found = re.search(r"(?<![\d.])(\d{1,2}(?:\.\d+)?)-(\d{1,2}(?:\.\d+)?)-(\d{1,2}(?:\.\d+)?)(?![\d.])", name)
    if not found:
        return None
    base = tabled()["organic fertilizer" if "organic" in name.lower() else "mixed fertilizer"]
    n, p2o5, k2o = (float(part) / 100 / base.dry_matter.typical for part in found.groups())
    oxides = {row["quantity"]: float(row["factor"]) for row in load_csv("oxides")}
    per_dry = replace(
        base.per_dry,
        n=Range.exact(n),
        p=Range.exact(p2o5 * oxides["p"]),
        k=Range.exact(k2o * oxides["k"]),
    )
    return replace(base, name=name, per_dry=per_dry, notes=(f"{name}: N, P2O5 and K2O read from its name",))
