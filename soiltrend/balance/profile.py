"""A bed in section: what lies on top, what is dug in, and what a core of some depth then holds."""

from dataclasses import dataclass

_DEEP_M = 10.0


@dataclass(frozen=True, slots=True)
class Load:
    """One thing put on, per m²: kg dry, kg of the quantity followed, m thick on top, m thick dug in."""

    dry: float
    counted: float
    thick: float
    thick_mixed: float


@dataclass(frozen=True, slots=True)
class Core:
    """What a core holds, in kg/m²: old soil, dry mass put on, and the quantity followed in the latter."""

    soil: float
    dry: float
    counted: float

    def fraction(self, start: float) -> float:
        """Return the quantity per mass where the old soil holds ``start``: exact mixing."""
        return (self.soil * start + self.counted) / (self.soil + self.dry)


@dataclass(slots=True)
class _Slab:
    soil: float
    dry: float
    counted: float
    thick: float
    thick_mixed: float

    def share(self, part: float) -> "_Slab":
        return _Slab(
            self.soil * part,
            self.dry * part,
            self.counted * part,
            self.thick * part,
            self.thick_mixed * part,
        )


class Profile:
    """A bed whose old soil has one bulk density; loads go on top and are dug in to a depth.

    Parameters
    ----------
    density_kg_m3 : float
        Bulk density of the old soil.
    """

    def __init__(self, density_kg_m3: float) -> None:
        self._density = density_kg_m3
        self._slabs = [_Slab(density_kg_m3 * _DEEP_M, 0.0, 0.0, _DEEP_M, 0.0)]

    def put_on(self, load: Load, depth_m: float) -> None:
        """Lay a load on top and dig it into ``depth_m`` of the ground under it (0 leaves it there)."""
        top = _Slab(0.0, load.dry, load.counted, load.thick, load.thick_mixed)
        self._slabs.insert(0, top)
        if depth_m > 0:
            self._dig(load.thick + depth_m)

    def core(self, from_m: float, to_m: float) -> Core:
        """Return what lies between two depths under the surface as it is now."""
        upper, lower = self._taken(from_m), self._taken(to_m)
        return Core(lower.soil - upper.soil, lower.dry - upper.dry, lower.counted - upper.counted)

    def _taken(self, depth_m: float) -> _Slab:
        found = _Slab(0.0, 0.0, 0.0, 0.0, 0.0)
        for slab in self._slabs:
            left = depth_m - found.thick
            if left <= 0:
                break
            _add(found, slab if slab.thick <= left else slab.share(left / slab.thick))
        return found

    def _dig(self, depth_m: float) -> None:
        """Make one slab of the top: soil keeps its density, what was put on fills up to its own."""
        mixed = self._taken(depth_m)
        self._drop(depth_m)
        mixed.thick = mixed.soil / self._density + mixed.thick_mixed
        self._slabs.insert(0, mixed)

    def _drop(self, depth_m: float) -> None:
        left = depth_m
        while left > 0 and self._slabs[0].thick <= left:
            left -= self._slabs.pop(0).thick
        if left > 0:
            self._slabs[0] = self._slabs[0].share(1.0 - left / self._slabs[0].thick)


def _add(to: _Slab, slab: _Slab) -> None:
    to.soil += slab.soil
    to.dry += slab.dry
    to.counted += slab.counted
    to.thick += slab.thick
    to.thick_mixed += slab.thick_mixed
