"""A printed result in its printed unit → the canonical unit, or a refusal that says what is missing."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from soiltrend.data import load_toml
from soiltrend.errors import CannotConvert
from soiltrend.units.area import kg_ha_to_ppm
from soiltrend.units.chemistry import element_fraction, equivalent_weight
from soiltrend.units.registry import Unit, units

UNIT_ASSUMED = "unit-assumed"
VOLUME_BASIS = "volume-basis"
EXTRACT_BASIS = "extract-basis"

# mg/L of these is per litre of extract, not per litre of soil (general usage, from memory).
EXTRACTS = frozenset({"saturated_paste", "saturated_media_extract", "water_1_1", "water_1_2", "water_1_5"})

# These find all of an element in the sample, so that a percentage of a cation is one of soil mass.
WHOLE_SAMPLE = frozenset({"total", "aqua_regia", "acid_digestion"})


@dataclass(frozen=True, slots=True)
class Converted:
    """A value in a canonical unit, with the note codes the conversion earned."""

    value: float
    unit: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Printed:
    """What is known of one printed number."""

    value: float
    analyte: str
    row: dict[str, Any]
    unit: Unit
    form: str
    depth_cm: float | None
    bulk_density: float | None
    layer_assumed: bool
    density_assumed: bool
    method: str


def usual_unit(analyte: str) -> str:
    """Return the unit code laboratories mean when they print none: the canonical one."""
    return str(_row(analyte)["unit"])


def to_canonical(
    value: float,
    *,
    analyte: str,
    unit: str = "",
    form: str = "",
    depth_cm: float | None = None,
    bulk_density: float | None = None,
    layer_assumed: bool = False,
    density_assumed: bool = False,
    method: str = "",
) -> Converted:
    """Convert one printed number to the canonical unit of its analyte.

    Parameters
    ----------
    value
        The number as printed.
    analyte, unit, form, method
        Vocabulary names and codes; ``unit`` is ``""`` where none is printed, ``form`` ``""`` for the element.
    depth_cm, bulk_density
        Thickness of the sampled layer in cm and its density in g/cm3, for results per area.
    layer_assumed, density_assumed
        Whether that is what the garden usually has and not what was printed or measured for this soil.

    Notes
    -----
    kg/ha is a stock of the layer: it is divided by depth and density where they are known. lb/acre (and
    other units of acre and square foot) is not: laboratories multiply ppm by 2 for each furrow slice, or
    6 inches, without weighing anything (Univ. of Minnesota Extension 2011; Penn State Agronomy Guide;
    Merced County conversion note). It is taken back the same way, by the printed depth alone, unless the
    density of this very soil is known, from the report or for the bed. Without a density both rest on the
    furrow slice.

    Raises
    ------
    CannotConvert
        The unit cannot become the canonical one with what is known; the message says what is missing.
    """
    row = _row(analyte)
    if not math.isfinite(value):
        raise CannotConvert(f"{analyte}: expected a finite number, found {value}.")
    code, notes = (unit, ()) if unit else _missing_unit(analyte, row, form, method)
    if code not in units():
        raise CannotConvert(f"{analyte}: expected a known unit, found {unit!r}. Declare it in a layout file.")
    printed = _Printed(
        value=value,
        analyte=analyte,
        row=row,
        unit=units()[code],
        form=form,
        depth_cm=depth_cm,
        bulk_density=bulk_density,
        layer_assumed=layer_assumed,
        density_assumed=density_assumed,
        method=method,
    )
    converted = _RULES.get(str(row["unit"]), _to_mass)(printed)
    if not math.isfinite(converted.value):
        raise CannotConvert(f"{analyte}: {value} {code} is too large to convert.")
    return replace(converted, notes=(*notes, *converted.notes))


def _row(analyte: str) -> dict[str, Any]:
    rows = load_toml("analytes")
    if analyte not in rows:
        raise CannotConvert(f"{analyte!r} is not an analyte of the vocabulary.")
    return dict(rows[analyte])


def _missing_unit(analyte: str, row: dict[str, Any], form: str, method: str) -> tuple[str, tuple[str, ...]]:
    """Assume the usual unit, but never for oxides and lactate extracts: mg/100 g is as usual there."""
    if form.endswith(("O5", "2O", "CaO", "MgO")) or method in {"cal", "dl"}:
        raise CannotConvert(
            f"{analyte}: printed {'as ' + form if form else 'by ' + method} without a unit; mg/100 g and "
            "mg/kg are both usual and ten times apart. Declare the unit in a layout file."
        )
    return str(row["unit"]), () if row["unit"] == "[pH]" else (UNIT_ASSUMED,)


def _refuse(printed: _Printed, why: str) -> CannotConvert:
    return CannotConvert(
        f"{printed.analyte}: expected a unit that leads to {printed.row['unit']}, "
        f"found {printed.unit.code}; {why}"
    )


def _element(printed: _Printed) -> float:
    """Return the mass fraction of the element in the printed form."""
    return element_fraction(printed.form, str(printed.row.get("weight", "")))


def _to_mass(printed: _Printed) -> Converted:
    """Convert to mg/kg, or to mg/dm3 where the result is by volume."""
    match printed.unit.quantity:
        case "mass":
            _refuse_share(printed)
            return Converted(printed.value * printed.unit.factor * _element(printed), "mg/kg")
        case "charge":
            _refuse_moles(printed)
            return Converted(_charge_mass(printed), "mg/kg")
        case "volume":
            return _by_volume(printed, printed.value * printed.unit.factor * _element(printed))
        case "volume-charge":
            return _by_volume(printed, _charge_mass(printed))
        case "area":
            per_area = printed.value * printed.unit.factor * _element(printed)
            value, note = kg_ha_to_ppm(per_area, *_soil(printed))
            return Converted(value, "mg/kg", (note,))
    raise _refuse(printed, "an index or another quantity carries no amount of an element.")


def _soil(printed: _Printed) -> tuple[float | None, float | None]:
    """Return depth and density to divide by: per acre, laboratories know nothing of what is usual here."""
    if not printed.unit.furrow_slice or not (printed.density_assumed or printed.bulk_density is None):
        return printed.depth_cm, printed.bulk_density
    return None if printed.layer_assumed else printed.depth_cm, None


def _charge_mass(printed: _Printed) -> float:
    if printed.form:
        raise _refuse(printed, f"milliequivalents are of the ion, not of {printed.form}.")
    return printed.value * printed.unit.factor * equivalent_weight(printed.analyte)


def _refuse_share(printed: _Printed) -> None:
    """Refuse a cation in percent: most often a share of the exchange capacity and no mass at all."""
    if printed.unit.code == "%" and "charge" in printed.row and printed.method not in WHOLE_SAMPLE:
        raise _refuse(printed, "a percentage of a cation is a share of the CEC unless a total is printed.")


def _refuse_moles(printed: _Printed) -> None:
    if printed.unit.moles and printed.row.get("charge", 1) != 1:
        raise _refuse(printed, "it does not say whether moles or moles of charge are counted.")


def _by_volume(printed: _Printed, value: float) -> Converted:
    """Keep a result by volume by volume; per litre of an extract is yet another thing."""
    if printed.method in EXTRACTS and printed.unit.code in {"mg/L", "meq/L"}:
        return Converted(value, "mg/L", (EXTRACT_BASIS,))
    return Converted(value, "mg/dm3", (VOLUME_BASIS,))


def _to_percent(printed: _Printed) -> Converted:
    """Convert to percent of soil mass; carbon never becomes organic matter."""
    if printed.unit.quantity == "mass":
        if printed.form not in ("", "CaCO3") or (printed.form and printed.analyte != "carbonate"):
            raise _refuse(printed, f"{printed.form} is not a form of {printed.analyte}.")
        return Converted(printed.value * printed.unit.factor / 10_000.0, "%")
    if printed.unit.quantity == "volume":
        return Converted(printed.value * printed.unit.factor / 1000.0, "g/dm3", (VOLUME_BASIS,))
    if printed.unit.quantity == "area" and printed.depth_cm is not None and printed.bulk_density is not None:
        per_area = printed.value * printed.unit.factor
        value, note = kg_ha_to_ppm(per_area, printed.depth_cm, printed.bulk_density)
        return Converted(value / 10_000.0, "%", (note,))
    raise _refuse(printed, "a stock needs the sampled depth and the bulk density of the soil.")


def _to_saturation(printed: _Printed) -> Converted:
    if printed.unit.code != "%":
        raise _refuse(printed, "a saturation is a percentage of the CEC.")
    return Converted(printed.value, "%")


def _to_charge(printed: _Printed) -> Converted:
    """Convert to meq/100 g; by volume it stays by volume."""
    if printed.unit.quantity == "charge":
        return Converted(printed.value * printed.unit.factor, "meq/(100.g)")
    if printed.unit.quantity == "volume-charge":
        return Converted(printed.value * printed.unit.factor, "meq/(100.mL)", (VOLUME_BASIS,))
    if printed.unit.quantity == "mass" and printed.analyte == "exchangeable_acidity" and not printed.form:
        _refuse_share(printed)
        return Converted(
            printed.value * printed.unit.factor / equivalent_weight(printed.analyte), "meq/(100.g)"
        )
    raise _refuse(printed, "exchange capacity is an amount of charge for each mass of soil.")


def _to_ph(printed: _Printed) -> Converted:
    """Keep pH; a lime test index is ten times the buffer pH."""
    if printed.unit.code == "[LTI]" and printed.analyte == "buffer_ph":
        if printed.value > 14:
            return Converted(printed.value * printed.unit.factor, "[pH]", ("lime-index-over-ten",))
        return Converted(printed.value, "[pH]", ("lime-index-as-buffer-ph",))
    if printed.unit.code != "[pH]":
        raise _refuse(printed, "pH has no unit.")
    return Converted(printed.value, "[pH]")


def _same_quantity(quantity: str, why: str) -> Callable[[_Printed], Converted]:
    def rule(printed: _Printed) -> Converted:
        if printed.unit.quantity != quantity:
            raise _refuse(printed, why)
        return Converted(printed.value * printed.unit.factor, str(printed.row["unit"]))

    return rule


def _percent(printed: _Printed) -> Converted:
    saturation = str(printed.analyte).startswith("base_saturation")
    return _to_saturation(printed) if saturation else _to_percent(printed)


_RULES: dict[str, Callable[[_Printed], Converted]] = {
    "%": _percent,
    "meq/(100.g)": _to_charge,
    "[pH]": _to_ph,
    "dS/m": _same_quantity("conductivity", "dissolved salts by mass do not give a conductivity."),
    "g/cm3": _same_quantity("density", "a density is a mass for each volume."),
}
