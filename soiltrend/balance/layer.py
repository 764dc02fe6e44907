"""The sampled layer: how much soil it is, and how bulk density falls as organic matter rises."""

from dataclasses import dataclass, replace
from functools import cached_property

from soiltrend.balance.ranges import Range
from soiltrend.balance.wording import Masses
from soiltrend.data import load_toml
from soiltrend.records.models import Bed, Garden


@dataclass(frozen=True)
class Layer:
    """The layer a sample is taken from. ``bulk_density`` is g/cm³; ``basis`` says where it comes from.

    ``basis`` is ``"bed"``, ``"garden"`` or ``"estimated"`` (from organic matter, a wide range).
    """

    bulk_density: Range
    depth_from_cm: float = 0.0
    depth_to_cm: float = 15.0
    basis: str = "estimated"
    texture: str = ""

    @property
    def thickness_cm(self) -> float:
        """Return how deep the layer is, in cm."""
        return self.depth_to_cm - self.depth_from_cm

    @cached_property
    def mass(self) -> Range:
        """Return the soil of the layer in kg/m²: 10 × cm × g/cm³."""
        return self.bulk_density * (10.0 * self.thickness_cm)

    def words(self, masses: Masses) -> str:
        """Say depth, density and mass in one phrase."""
        guess = " (estimated)" if self.basis == "estimated" else ""
        density = f"{self.bulk_density.typical:.2f} g/cm³{guess}"
        inches = masses.label.startswith("lb")
        ends = (self.depth_from_cm, self.depth_to_cm)
        shown = [f"{round(end / 2.54, 2) if inches else end:g}" for end in ends]
        depth = f"{' to '.join(shown)} {'in' if inches else 'cm'}"
        return f"{depth} at {density}: {masses.of(self.mass.typical)}"

    def at_top(self) -> "Layer":
        """Return a layer of the same thickness that starts at the surface."""
        return replace(self, depth_from_cm=0.0, depth_to_cm=self.thickness_cm)


def bulk_density(organic_matter_pct: float, mineral_g_cm3: float) -> float:
    """Return the bulk density in g/cm³ of soil with this much organic matter.

    100 / (OM/0.244 + (100 - OM)/BD_mineral): Adams 1973, J Soil Sci 24:10-17; Post and Kwon 2000 (from
    memory). Calibrated on natural organic matter: fresh compost and char can be lighter.
    """
    organic: float = load_toml("soil")["bulk_density"]["organic_g_cm3"]
    return 100.0 / (organic_matter_pct / organic + (100.0 - organic_matter_pct) / mineral_g_cm3)


def mineral_density(density_g_cm3: float, organic_matter_pct: float) -> float:
    """Return BD_mineral of a soil of known bulk density: :func:`bulk_density` turned round."""
    organic: float = load_toml("soil")["bulk_density"]["organic_g_cm3"]
    rest = 100.0 / density_g_cm3 - organic_matter_pct / organic
    if rest <= 0:
        return density_g_cm3
    return (100.0 - organic_matter_pct) / rest


def layer_of(
    garden: Garden,
    bed: Bed,
    *,
    depth_from_cm: float | None = None,
    depth_to_cm: float | None = None,
    organic_matter_pct: float | None = None,
) -> Layer:
    """Return the layer that a sample of ``bed`` comes from.

    Parameters
    ----------
    garden, bed
        Bulk density and texture are the bed's, else the garden's, else estimated from organic matter.
    depth_from_cm, depth_to_cm : float, optional
        As sampled; else the garden's sampling depth, else 15 cm.
    organic_matter_pct : float, optional
        At the start; only for the estimate.
    """
    figures = load_toml("soil")
    top = depth_from_cm or 0.0
    bottom = depth_to_cm or garden.sampling.depth_cm or figures["depth"]["default_cm"]
    if bottom <= top:
        top = 0.0
    density, basis = _density(garden, bed, organic_matter_pct)
    return Layer(
        bulk_density=density,
        depth_from_cm=top,
        depth_to_cm=bottom,
        basis=basis,
        texture=bed.texture or garden.soil.texture,
    )


def _density(garden: Garden, bed: Bed, organic_matter_pct: float | None) -> tuple[Range, str]:
    if bed.bulk_density_g_cm3 is not None:
        return Range.exact(bed.bulk_density_g_cm3), "bed"
    if garden.soil.bulk_density_g_cm3 is not None:
        return Range.exact(garden.soil.bulk_density_g_cm3), "garden"
    figures = load_toml("soil")
    organic = organic_matter_pct
    if organic is None or not 0 <= organic <= 100:
        organic = figures["organic_matter"]["default_pct"][1]
    ends = [bulk_density(organic, mineral) for mineral in figures["bulk_density"]["mineral_g_cm3"]]
    return Range(*ends), "estimated"
