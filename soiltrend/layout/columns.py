"""One column of a table with analytes across: what its name, the groups above and the notes below say."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from soiltrend.layout.dates import find_date
from soiltrend.layout.depths import depth_unit, find_layer, is_layer
from soiltrend.layout.finds import WHY_LEFT, Assay, assay_of, unit_in
from soiltrend.layout.footnotes import is_mark, marks_of
from soiltrend.layout.joining import joined
from soiltrend.layout.labels import Label, label_of, same_name
from soiltrend.layout.lines import Phrase
from soiltrend.layout.words import role_of
from soiltrend.layout.zones import Zone
from soiltrend.vocabulary import match_method, match_unit
from soiltrend.vocabulary.choice import accepts

_BRACKETED = re.compile(r"(?P<unit>[^()]+?)\s*\((?P<method>[^()]+)\)")
RATINGS = {"rating", "recommendation"}  # 'RATE' is printed for either
# Kinds of a name whose numbers are no results of this sample (vocabulary, AnalyteMatch.kind).
LEFT_KINDS = {
    "recommendation", "rating", "ratio", "range", "index", "estimate", "previous", "summary", "ambiguous",
    "other",
}  # fmt: skip


@dataclass(slots=True)
class Heading:
    """One column: its whole heading, what it names and what the group above it adds."""

    text: str
    label: Label
    zone: Zone
    assay: Assay | None = None
    role: str = ""
    own: dict[str, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    depth_unit: str = ""
    name: Phrase | None = None
    groups: tuple[str, ...] = ()

    @property
    def why_left(self) -> str:
        """Why the column's numbers are not taken; ``""`` where they are."""
        role = self.role or (self.assay.kind if self.assay and self.assay.kind in LEFT_KINDS else "")
        nameless = self.assay is not None and not self.assay.analyte
        return WHY_LEFT.get(role, WHY_LEFT["other"] if nameless else "")


@dataclass(frozen=True, slots=True)
class Over:
    """A text above a column, and whether it stands above others too."""

    text: str
    spans: bool


def heading_of(name: Phrase, zone: Zone, over: list[Over], under: list[str]) -> Heading:
    """Put a column's heading together from its name and what stands over and under it."""
    units, methods, rest = _notes([text for text in under if not is_mark(text)])
    label = _label(name.text, over, rest)
    heading = Heading(
        label.text or name.text, label, zone, role=label.role, name=name if name.words else None
    )
    groups = [one.text for one in over if not same_name(one.text, label.text)]
    heading.groups = tuple(groups)
    if label.analyte:
        alone = [one.text for one in over if not one.spans]
        heading.assay = replace(_assay(label, units, methods, groups), marks=marks_of(name, *under, *alone))
        apart = [one.text for one in over if one.spans or one.text not in label.text]
        heading.role = heading.role or _group_role(apart)
    if label.field.startswith("depth"):
        heading.depth_unit = depth_unit(" ".join([name.text, *under, *groups]))
    heading.own = _group_fields(groups)
    if label.year:
        heading.own["column_date"] = label.year
    if label.analyte and label.analyte.depth_printed:
        heading.own.setdefault("depth", label.analyte.depth_printed)
    return heading


def _notes(under: Sequence[str]) -> tuple[list[str], list[str], list[str]]:
    """Sort the texts below a name into units, methods and the rest: ``ppm``, ``(LOI) %``, ``ppm RATE``."""
    units: list[str] = []
    methods: list[str] = []
    rest: list[str] = []
    for text in under:
        unit, other = _unit_and_more(text)
        if unit and (not other or match_method(other) or role_of(other) in RATINGS):
            units.append(unit)
            methods += [other] if match_method(other) else []
        elif match_method(text):
            methods.append(text)
        else:
            rest.append(text)
    return units, methods, rest


def _unit_and_more(text: str) -> tuple[str, str]:
    """Return the unit at the beginning or end of a text below a name, and what else it says."""
    bracketed = _BRACKETED.fullmatch(text)
    if bracketed and match_unit(bracketed["unit"]) and match_method(bracketed["method"]):
        return bracketed["unit"], bracketed["method"]  # 'mg P/100 g (CAL)'
    unit, _, other = text.partition(" ")
    if not match_unit(text) and other and match_unit(unit):
        return unit, other
    unit = unit_in(text)
    return unit, text.replace(unit, "", 1).strip(" ()[],;")


def _label(name: str, over: list[Over], rest: list[str]) -> Label:
    """Return what the heading names, its halves over two or three lines put together."""
    plain = label_of(name)
    if name.islower() and len(name) == 1 and any(not label_of(one.text).known for one in over):
        return Label(f"{over[-1].text}{name}")  # the end of a word that a narrow cell broke, no element
    single = " ".join(one.text for one in over if not one.spans)
    tail = " ".join(rest)
    below = joined(name, tail) if tail else name  # 'mg/' over '100 g'
    for text in (f"{single} {below}", f"{single} {name}", below):
        whole = label_of(" ".join(text.split()))
        if whole.analyte and whole.analyte.exact and whole.text != name:
            return whole
        vague = plain.field == "other" and whole.field not in ("", "other")  # 'Number' below 'Sample'
        if vague or (not (plain.analyte or plain.field or plain.role) and (whole.analyte or whole.field)):
            return whole
    if not (plain.analyte or plain.field or plain.role) and over:
        groups = " ".join(one.text for one in over)
        for text in (f"{groups} {name} {tail}", f"{groups} {name}"):
            whole = label_of(" ".join(text.split()))
            if whole.analyte and whole.analyte.exact and whole.analyte.analyte:
                return whole  # 'Phosphorus' over 'Weak Bray' and 'Olsen', and 'ppm' under each
    for group in [one.text for one in over if one.spans]:
        whole = label_of(f"{group} {name}")
        if plain.analyte and whole.analyte and (whole.analyte.kind == "saturation" or plain.analyte.weak):
            return Label(name, whole.analyte, role=plain.role)
    return plain


def _assay(label: Label, units: list[str], methods: list[str], groups: list[str]) -> Assay:
    group = " ".join(groups)
    printed = next((unit_in(text) for text in reversed(groups) if unit_in(text)), "")
    own_unit = units[0] if units else ""
    analyte = label.analyte.analyte if label.analyte else ""
    if printed and analyte and not accepts(analyte, match_unit(printed)):
        groups = [text for text in groups if unit_in(text) != printed]
        group = " ".join(groups)
    elif not own_unit and label.analyte and not label.analyte.unit and printed:
        own_unit = printed
    return assay_of(label, unit=own_unit, method=methods[0] if methods else "", group=group)


def _group_role(groups: Sequence[str]) -> str:
    for text in groups:
        role = role_of(text)
        if role in {"previous", "range", "recommendation", "rating", "limit", "deviation", "uncertainty"}:
            return role
    return ""


def _group_fields(groups: Sequence[str]) -> dict[str, str]:
    """Return the layer, date or year that a group gives to its columns."""
    own: dict[str, str] = {}
    for text in groups:
        if is_layer(text) or (find_layer(text) and len(text) < 20):
            own["depth"] = text
        elif find_date(text) and len(text) < 30:
            own["column_date"] = text
    return own


def separate_repeats(columns: list[Heading]) -> None:
    """Where one result is named several times, groups above name the samples, or nothing is sure."""
    same: dict[tuple[str, ...], list[Heading]] = {}
    for column in columns:
        if column.assay and not column.why_left:
            same.setdefault((*_identity(column.assay), str(sorted(column.own.items()))), []).append(column)
    repeated = [column for group in same.values() if len(group) > 1 for column in group]
    names = {id(column): _plain_group(column) for column in columns if column.assay}
    parted = all(len({names[id(c)] for c in group}) == len(group) for group in same.values())
    for column in columns if repeated and parted and all(names.values()) else ():
        if column.assay:
            column.own["column_name"] = names[id(column)]
    if repeated and not (parted and all(names.values())):
        for column in repeated:
            column.role = "repeated"


def _plain_group(column: Heading) -> str:
    """Return the lowest group above a column that holds no known word: a sample's name."""
    plain = [
        text for text in column.groups if not (label_of(text).known or unit_in(text) or match_method(text))
    ]
    return plain[-1] if plain else ""


def _identity(assay: Assay) -> tuple[str, ...]:
    return (assay.analyte, assay.form, assay.unit, assay.method, assay.kind)


def give_unit(columns: Sequence[Heading], unit: str) -> None:
    """Give the columns without a unit that of the whole table's title, where it can be theirs."""
    for column in columns if unit else ():
        assay = column.assay
        bare = assay is not None and not (assay.unit or assay.unit_printed)
        if assay is not None and bare and accepts(assay.analyte, match_unit(unit)):
            column.assay = replace(assay, unit=match_unit(unit), unit_printed=unit)
