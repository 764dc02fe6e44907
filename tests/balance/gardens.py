"""Small gardens for the tests of this room."""

from datetime import date
from pathlib import Path
from typing import Any

from soiltrend.balance import Balance, build
from soiltrend.records.models import Amendment, Bed, Garden, Material, Sampling, Soil

TODAY = date(2030, 1, 1)
FOLDER = Path("garden")

# The reference compost: 1,000 lb/yd3, half water, half of the dry matter organic.
STANDARD_COMPOST = Material(
    material="standard compost",
    bulk_density_kg_m3=1000 * 0.45359237 / 0.764554857984,
    dry_matter_pct=50,
    organic_matter_pct=50,
    carbon_pct=27,
    char_carbon_pct=0,
    n_pct=1.5,
    p_pct=0.8 * 0.43642,
    k_pct=1.0 * 0.83015,
    lime_equivalent_pct=0,
)
# Soil of which 6 in weigh 2,000,000 lb an acre.
SLICE = 224.17 / 152.4


def spread(day: str, material: str, amount: float, unit: str, bed: str = "A", **given: Any) -> Amendment:
    return Amendment(
        date=date.fromisoformat(day), bed=bed, material=material, amount=amount, unit=unit, **given
    )


def yearly(first: int, years: int, material: str, amount: float, unit: str, **given: Any) -> list[Amendment]:
    return [spread(f"{first + i}-04-01", material, amount, unit, **given) for i in range(years)]


def garden(*amendments: Amendment, **given: Any) -> Garden:
    beds = given.pop("beds", (Bed(bed="A", area_m2=10.0),))
    numbered = tuple(row.model_copy(update={"line": i}) for i, row in enumerate(amendments, start=2))
    return Garden(
        folder=FOLDER,
        beds=beds,
        amendments=numbered,
        materials=given.pop("materials", (STANDARD_COMPOST,)),
        **given,
    )


def balance(*amendments: Amendment, **given: Any) -> Balance:
    return build(garden(*amendments, **given), TODAY)


def slice_garden(*amendments: Amendment, **given: Any) -> Balance:
    """Return the balance of a garden sampled 6 in deep whose soil is the acre furrow slice."""
    return balance(
        *amendments,
        sampling=Sampling(depth_cm=15.24),
        soil=Soil(bulk_density_g_cm3=SLICE, texture=given.pop("texture", "")),
        **given,
    )


__all__ = [
    "SLICE",
    "STANDARD_COMPOST",
    "TODAY",
    "Material",
    "balance",
    "garden",
    "slice_garden",
    "spread",
    "yearly",
]
