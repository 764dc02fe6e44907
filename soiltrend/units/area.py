"""Mass per area (lb/acre, kg/ha) against mass per mass, through the soil that was sampled."""

from soiltrend.data import load_toml

DEFAULT_NOTE = "furrow-slice-assumed"
PRORATED_NOTE = "furrow-slice-prorated"
MEASURED_NOTE = "depth-and-density-used"


def kg_ha_per_lb_acre() -> float:
    """Return kg/ha in one lb/acre, from the definitions of pound and acre."""
    exact = load_toml("measures")["exact"]
    return float(exact["pound_kg"] / exact["acre_m2"] * 10_000.0)


def kg_ha_per_ppm(depth_cm: float, bulk_density: float) -> float:
    """Return kg/ha for each mg/kg in a layer ``depth_cm`` thick of ``bulk_density`` g/cm3."""
    return 0.1 * depth_cm * bulk_density


def lb_acre_per_ppm(depth_cm: float | None = None, bulk_density: float | None = None) -> float:
    """Return lb/acre for each ppm of a layer.

    With depth (cm) and bulk density (g/cm3) it is their product; without both it is the trade's furrow
    slice, 2,000,000 lb/acre: 2 for no depth or a plough layer of 6 to 7 inches, else 2 for each 6 inches.
    """
    if depth_cm is not None and bulk_density is not None:
        return kg_ha_per_ppm(depth_cm, bulk_density) / kg_ha_per_lb_acre()
    return _furrow_slice(depth_cm)[0]


def _furrow_slice(depth_cm: float | None) -> tuple[float, str]:
    """Return lb/acre per ppm by the furrow-slice convention and the note that names it."""
    slice_ = load_toml("measures")["furrow_slice"]
    per_ppm = slice_["mass_lb_per_acre"] / 1e6
    inch = load_toml("measures")["exact"]["inch_cm"]
    low, high = (edge * inch for edge in slice_["plough_layer_in"])
    if depth_cm is None or low - 0.3 <= depth_cm <= high + 0.3:  # 15 and 18 cm are such layers too
        return per_ppm, DEFAULT_NOTE
    return per_ppm * depth_cm / (slice_["layer_in"] * inch), PRORATED_NOTE


def kg_ha_to_ppm(value: float, depth_cm: float | None, bulk_density: float | None) -> tuple[float, str]:
    """Return mg/kg for ``value`` kg/ha, and the note that says by what soil mass."""
    if depth_cm is not None and bulk_density is not None:
        return value / kg_ha_per_ppm(depth_cm, bulk_density), MEASURED_NOTE
    per_ppm, note = _furrow_slice(depth_cm)
    return value / (per_ppm * kg_ha_per_lb_acre()), note
