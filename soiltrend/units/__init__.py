"""Units: their printed spellings, conversions, the context they need, and when to refuse."""

from soiltrend.units.area import kg_ha_per_lb_acre, kg_ha_per_ppm, lb_acre_per_ppm
from soiltrend.units.chemistry import atomic_weight, element_fraction, element_fractions, equivalent_weight
from soiltrend.units.confusion import Confusion, confusions
from soiltrend.units.conversion import Converted, to_canonical, usual_unit
from soiltrend.units.display import to_us
from soiltrend.units.exchange import BASES, acidity_meq, cation_meq, cation_sum_meq, saturation_pct
from soiltrend.units.registry import Unit, match_unit, match_unit_cell, unit, units

__all__ = [
    "BASES",
    "Confusion",
    "Converted",
    "Unit",
    "acidity_meq",
    "atomic_weight",
    "cation_meq",
    "cation_sum_meq",
    "confusions",
    "element_fraction",
    "element_fractions",
    "equivalent_weight",
    "kg_ha_per_lb_acre",
    "kg_ha_per_ppm",
    "lb_acre_per_ppm",
    "match_unit",
    "match_unit_cell",
    "saturation_pct",
    "to_canonical",
    "to_us",
    "unit",
    "units",
    "usual_unit",
]
