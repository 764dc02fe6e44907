"""Rows that say what they count and no sample: 'ppm', 'meq/100 g', 'Base saturation (%)' below K, Ca, Mg."""

from collections.abc import Sequence
from dataclasses import replace

from soiltrend.layout.columns import Heading
from soiltrend.layout.entries import bare
from soiltrend.layout.finds import assay_of, unit_in
from soiltrend.layout.labels import label_of
from soiltrend.layout.reach import names_shares
from soiltrend.layout.words import role_of
from soiltrend.vocabulary import match_unit_cell
from soiltrend.vocabulary.choice import accepts


def is_measure(text: str) -> bool:
    """Whether the first cell of a row says what the row counts."""
    return bool(text) and (names_shares(bare(text)) or bool(_unit_alone(text)))


def measured(column: Heading, text: str) -> Heading:
    """Return a column as a row counts it: in the row's unit, or as a share of the exchange capacity."""
    if column.assay is None:
        return column
    name = column.label.text
    if names_shares(bare(text)):
        share = label_of(f"{bare(text)} {name}")
        if share.analyte is None or share.analyte.kind != "saturation":
            return replace(column, role="other")
        return replace(column, assay=assay_of(share))
    unit = _unit_alone(text)
    if not accepts(column.assay.analyte, match_unit_cell(unit)):
        return replace(column, role="other")
    assay = assay_of(label_of(name), unit=unit)
    return replace(column, assay=replace(assay, method=column.assay.method))


def first_cell(names: Sequence[str]) -> str:
    """Return the one text that stands before a row's results, ``""`` where there are several."""
    filled = [name for name in names if name]
    return filled[0] if len(filled) == 1 else ""


def _unit_alone(text: str) -> str:
    """Return the unit that a text is, or holds beside a word such as 'found'."""
    if match_unit_cell(text):
        return text.strip()
    unit = unit_in(text)
    rest = text.replace(unit, "", 1).strip(" ()[],;:")
    return unit if unit and role_of(rest) == "value" else ""
