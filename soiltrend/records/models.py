"""One row of each file of the records folder, and the garden they make together."""

from datetime import date
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field


class Record(BaseModel):
    """Base of every record: frozen, unknown columns refused. ``line`` is the row's line in its file."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)
    line: int = 0


class Bed(Record):
    """One bed. ``area_m2`` is None where the grower gave none; ``treatment`` empty or control = unamended.

    ``block`` names a set of like beds within which the treatments were drawn.
    """

    bed: str
    area_m2: float | None = Field(default=None, gt=0)
    treatment: str = ""
    assigned: Literal["", "random", "chosen"] = ""
    block: str = ""
    texture: str = ""
    bulk_density_g_cm3: float | None = Field(default=None, gt=0.1, lt=2.65)
    also_called: tuple[str, ...] = ()
    chosen_because: str = ""
    notes: str = ""

    @property
    def amended(self) -> bool:
        """Whether the bed has a treatment other than control."""
        return self.treatment.lower() not in ("", "control")


class Amendment(Record):
    """One application. ``bed`` is a bed, ``all`` or a treatment; ``mixed_to_cm`` 0 = left on top."""

    date: date
    bed: str
    material: str
    amount: float = Field(gt=0)
    unit: str
    mixed_to_cm: float | None = Field(default=None, ge=0)
    notes: str = ""


class Material(Record):
    """A material of the grower's own, composition in percent of dry mass."""

    material: str
    bulk_density_kg_m3: float | None = Field(default=None, gt=0)
    dry_matter_pct: float = Field(gt=0, le=100)
    organic_matter_pct: float | None = Field(default=None, ge=0, le=100)
    carbon_pct: float | None = Field(default=None, ge=0, le=100)
    char_carbon_pct: float | None = Field(default=None, ge=0, le=100)
    n_pct: float | None = Field(default=None, ge=0, le=100)
    p_pct: float | None = Field(default=None, ge=0, le=100)
    k_pct: float | None = Field(default=None, ge=0, le=100)
    lime_equivalent_pct: float | None = Field(default=None, ge=0, le=200)
    source: str = ""


class MixPart(Record):
    """One ingredient of a mix."""

    mix: str
    material: str
    amount: float = Field(gt=0)
    unit: str


class Measurement(Record):
    """One measurement of the grower's own."""

    date: date
    bed: str
    measure: str
    value: float
    unit: str
    notes: str = ""


class ClaimRow(Record):
    """One statement to check."""

    claim: str
    beds: tuple[str, ...] = ()
    since: date | None = None
    until: date | None = None


class Correction(Record):
    """A hand correction of one reading; ``method`` says which, where an analyte was tested by several."""

    source: str
    sample: str
    analyte: str
    value: float
    unit: str
    reason: str
    method: str = ""


class Sampling(Record):
    """How this garden is sampled."""

    depth_cm: float | None = Field(default=None, gt=0, le=200)
    cores: int | None = Field(default=None, ge=1)
    month: int | None = Field(default=None, ge=1, le=12)


class Soil(Record):
    """What is known of the soil of the whole garden."""

    bulk_density_g_cm3: float | None = Field(default=None, gt=0.1, lt=2.65)
    texture: str = ""


class Garden(Record):
    """Everything the records folder holds. ``noise`` holds the ``[noise.<analyte>]`` tables as given."""

    folder: Path
    name: str = ""
    units: Literal["metric", "us"] = "metric"
    sampling: Sampling = Sampling()
    soil: Soil = Soil()
    noise: dict[str, dict[str, float]] = Field(default_factory=dict)
    beds: tuple[Bed, ...] = ()
    amendments: tuple[Amendment, ...] = ()
    materials: tuple[Material, ...] = ()
    mixes: tuple[MixPart, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    claims: tuple[ClaimRow, ...] = ()
    corrections: tuple[Correction, ...] = ()
    reports: tuple[Path, ...] = ()
    layouts: tuple[Path, ...] = ()
