"""Fixed depth against equal soil mass: a looser bed holds less soil in the same core."""

from soiltrend.balance.layer import Layer, bulk_density, mineral_density
from soiltrend.balance.outcome import Stocks
from soiltrend.data import load_toml


def stocks(
    *, depth_cm: float, start_pct: float, end_pct: float, start_density: float, end_density: float
) -> Stocks:
    """Return organic matter in kg/m² before, after to the same depth, and after in equal soil mass.

    For equal mass the later core goes down, into soil that still holds ``start_pct``, until it weighs what
    the first did (Ellert and Bettany 1995, Can J Soil Sci 75:529-538; Wendt and Hauser 2013, from memory).

    Parameters
    ----------
    depth_cm : float
        Depth of both cores.
    start_pct, end_pct : float
        Organic matter of the two samples, percent.
    start_density, end_density : float
        Bulk density at the two dates, g/cm³.
    """
    before_soil = 10.0 * depth_cm * start_density
    after_soil = 10.0 * depth_cm * end_density
    missing = before_soil - after_soil
    fixed = after_soil * end_pct / 100.0
    edge_pct = start_pct if missing >= 0 else end_pct
    edge_density = start_density if missing >= 0 else end_density
    return Stocks(
        before=before_soil * start_pct / 100.0,
        fixed_depth=fixed,
        equal_mass=fixed + missing * edge_pct / 100.0,
        deeper_cm=missing / (10.0 * edge_density),
    )


def stocks_after(layer: Layer, start_pct: float, end_pct: float) -> Stocks | None:
    """Return the stocks for a change from ``start_pct``, with bulk density following organic matter.

    None where the start is zero or a value lies outside 0 to 100 %.
    """
    if not (0 < start_pct < 100 and 0 <= end_pct < 100):
        return None
    limits = load_toml("soil")["bulk_density"]
    before = layer.bulk_density.typical
    after = bulk_density(end_pct, mineral_density(before, start_pct))
    return stocks(
        depth_cm=layer.thickness_cm,
        start_pct=start_pct,
        end_pct=end_pct,
        start_density=before,
        end_density=min(max(after, limits["lowest_g_cm3"]), limits["highest_g_cm3"]),
    )
