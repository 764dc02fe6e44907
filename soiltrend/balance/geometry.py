"""Where in the bed the things put on are when the core is taken, at best, at worst and typically."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from soiltrend.balance.layer import Layer
from soiltrend.balance.model import Applied
from soiltrend.balance.profile import Core, Load, Profile
from soiltrend.balance.ranges import Range
from soiltrend.data import load_toml

End = Literal["low", "typical", "high"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One material of one application, per m²: ``counted`` as put on, ``kept`` at the later sample.

    ``dry`` and ``organic`` are its dry mass and organic matter as put on, ``retention`` the fraction
    of the latter still there, ``thick`` metres deep as put on.
    """

    applied: Applied
    group: str
    counted: Range
    kept: Range
    dry: Range
    organic: Range
    retention: Range
    thick: float


def bound_core(items: Iterable[Item], layer: Layer, start: float) -> Core:
    """Return the core that holds most: nothing lost, all in the sampled layer, the rich end.

    The larger of two: everything mixed into the layer's soil (exact mixing), and everything where it
    was put, left on top where nobody says. What would only thin the soil down is left out.
    """
    top = layer.at_top()
    used = [(item, _bound_load(item)) for item in items]
    used = [(item, load) for item, load in used if load.dry > 0 and load.counted > start * load.dry]
    mixed = Core(top.mass.typical, sum(load.dry for _, load in used), sum(load.counted for _, load in used))
    bed = Profile(1000.0 * top.bulk_density.typical)
    for item, load in used:
        bed.put_on(load, min(item.applied.mixed_to_cm or 0.0, top.depth_to_cm) / 100.0)
    placed = bed.core(0.0, top.depth_to_cm / 100.0)
    return max(mixed, placed, key=lambda core: core.fraction(start))


def _bound_load(item: Item) -> Load:
    dry = max(item.dry.typical, min(item.counted.high, item.dry.high))
    return Load(dry, item.counted.high, item.thick, thick_mixed(dry, _organic_share(item) * dry))


def expected_core(items: Iterable[Item], layer: Layer, end: End) -> Core:
    """Return the core with what is still there at one end of the range, lying where it was put."""
    bed = Profile(1000.0 * layer.bulk_density.typical)
    for item in items:
        share = _share(item, end)
        if share > 0:
            bed.put_on(_expected_load(item, end, share), _depth_cm(item.applied, layer, end) / 100.0)
    return bed.core(layer.depth_from_cm / 100.0, layer.depth_to_cm / 100.0)


def _expected_load(item: Item, end: End, share: float) -> Load:
    kept: float = getattr(item.kept, end)
    lost = item.organic.typical * (1.0 - getattr(item.retention, end))
    dry = max(item.dry.typical - lost, min(kept, item.dry.high), 1e-12)
    organic = max(0.0, item.organic.typical - lost)
    thick = item.thick * min(1.0, dry / item.dry.typical) if item.dry.typical else 0.0
    return Load(dry * share, kept * share, thick * share, thick_mixed(dry, organic) * share)


def _organic_share(item: Item) -> float:
    return min(1.0, item.organic.typical / item.dry.typical) if item.dry.typical else 0.0


def thick_mixed(dry: float, organic: float) -> float:
    """Return m of thickness that a load adds to soil it is dug into: Adams 1973, volumes add up."""
    figures = load_toml("soil")["bulk_density"]
    organic = min(organic, dry)
    mineral = 1000.0 * figures["mineral_g_cm3"][1]
    return float(organic / (1000.0 * figures["organic_g_cm3"]) + (dry - organic) / mineral)


def _depth_cm(applied: Applied, layer: Layer, end: End) -> float:
    """Return how deep it was dug in: as recorded; where not, the whole span of what is usual."""
    if applied.mixed_to_cm:
        return applied.mixed_to_cm
    if end == "high":
        return 0.0
    if end == "low" and applied.mixed_to_cm is None:
        return float(max(load_toml("soil")["dug_in"]["deep_cm"], layer.depth_to_cm))
    return layer.depth_to_cm


def _share(item: Item, end: End) -> float:
    """Return which share of the load a sample holds: less than all only of what was left on top."""
    if item.applied.mixed_to_cm != 0:
        return 1.0
    figures = load_toml("soil")["on_top"]
    shares = figures["coarse" if item.group in figures["coarse_groups"] else "fine"]
    return float(shares[("low", "typical", "high").index(end)])
