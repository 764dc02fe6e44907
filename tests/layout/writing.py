"""Writes a table of results in many layouts, delimiters and languages: the truth is known before the text."""

import csv
import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass

# key of a result → its name and unit as printed, in each language. The same results in each.
NAMES: Mapping[str, Mapping[str, tuple[str, str]]] = {
    "English": {
        "ph": ("pH", ""), "organic_matter": ("Organic Matter", "%"), "phosphorus": ("Phosphorus", "ppm"),
        "potassium": ("Potassium", "ppm"), "calcium": ("Calcium", "ppm"), "magnesium": ("Magnesium", "ppm"),
        "zinc": ("Zinc", "ppm"), "boron": ("Boron", "ppm"), "cec": ("CEC", "meq/100g"),
    },
    "German": {
        "ph": ("pH-Wert", ""), "organic_matter": ("Humus", "%"), "phosphorus": ("Phosphor", "mg/kg"),
        "potassium": ("Kalium", "mg/kg"), "calcium": ("Calcium", "mg/kg"),
        "magnesium": ("Magnesium", "mg/kg"),
        "zinc": ("Zink", "mg/kg"), "boron": ("Bor", "mg/kg"), "cec": ("KAK", "cmol/kg"),
    },
    "French": {
        "ph": ("pH eau", ""), "organic_matter": ("Matière organique", "%"),
        "phosphorus": ("Phosphore", "mg/kg"),
        "potassium": ("Potassium", "mg/kg"), "calcium": ("Calcium", "mg/kg"),
        "magnesium": ("Magnésium", "mg/kg"),
        "zinc": ("Zinc", "mg/kg"), "boron": ("Bore", "mg/kg"), "cec": ("CEC", "cmol/kg"),
    },
    "Spanish": {
        "ph": ("pH agua", ""), "organic_matter": ("Materia orgánica", "%"),
        "phosphorus": ("Fósforo", "mg/kg"),
        "potassium": ("Potasio", "mg/kg"), "calcium": ("Calcio", "mg/kg"),
        "magnesium": ("Magnesio", "mg/kg"),
        "zinc": ("Zinc", "mg/kg"), "boron": ("Boro", "mg/kg"), "cec": ("CIC", "cmol/kg"),
    },
}  # fmt: skip
WORDS: Mapping[str, Mapping[str, str]] = {
    "English": {"sample": "Sample", "test": "Test", "result": "Result", "unit": "Unit"},
    "German": {"sample": "Probe", "test": "Parameter", "result": "Ergebnis", "unit": "Einheit"},
    "French": {"sample": "Échantillon", "test": "Paramètre", "result": "Résultat", "unit": "Unité"},
    "Spanish": {"sample": "Muestra", "test": "Parámetro", "result": "Resultado", "unit": "Unidad"},
}
CODES = {
    "": "",
    "%": "%",
    "ppm": "mg/kg",
    "mg/kg": "mg/kg",
    "meq/100g": "meq/(100.g)",
    "cmol/kg": "meq/(100.g)",
}

Rows = list[list[str]]


@dataclass(frozen=True)
class Table:
    """Results as printed (``values[sample][key]``, with a point), the language and the decimal mark."""

    values: Mapping[str, Mapping[str, str]]
    language: str = "English"
    mark: str = "."

    @property
    def keys(self) -> list[str]:
        return list(next(iter(self.values.values())))

    def word(self, name: str) -> str:
        return WORDS[self.language][name]

    def name(self, key: str) -> str:
        return NAMES[self.language][key][0]

    def unit(self, key: str) -> str:
        return NAMES[self.language][key][1]

    def heading(self, key: str) -> str:
        unit = self.unit(key)
        return f"{self.name(key)} ({unit})" if unit else self.name(key)

    def printed(self, sample: str, key: str) -> str:
        return self.values[sample][key].replace(".", self.mark)

    @property
    def truth(self) -> set[tuple[str, str, float, str]]:
        """What must be read: sample, analyte, number and unit code."""
        return {
            (sample, key, float(text), CODES[self.unit(key)])
            for sample, row in self.values.items()
            for key, text in row.items()
        }


# ------------------------------------------------------------------------------------------------ grids


def wide(table: Table) -> Rows:
    head = [table.word("sample"), *map(table.heading, table.keys)]
    return [head, *([name, *(table.printed(name, key) for key in table.keys)] for name in table.values)]


def units_below(table: Table) -> Rows:
    first, *rest = wide(table)
    names = [first[0], *map(table.name, table.keys)]
    return [names, ["", *map(table.unit, table.keys)], *rest]


def long(table: Table) -> Rows:
    head = [table.word(word) for word in ("sample", "test", "result", "unit")]
    body = [
        [name, table.name(key), table.printed(name, key), table.unit(key)]
        for name in table.values
        for key in table.keys
    ]
    return [head, *body]


def transposed(table: Table) -> Rows:
    head = [table.word("test"), *table.values]
    body = [[table.heading(key), *(table.printed(name, key) for name in table.values)] for key in table.keys]
    return [head, *body]


def unit_column(table: Table) -> Rows:
    head = [table.word("test"), table.word("unit"), *table.values]
    body = [
        [table.name(key), table.unit(key), *(table.printed(name, key) for name in table.values)]
        for key in table.keys
    ]
    return [head, *body]


def blocks(table: Table) -> Rows:
    rows: Rows = []
    for name in table.values:
        rows += [[table.word("sample"), name], [table.word("test"), table.word("result"), table.word("unit")]]
        rows += [[table.name(key), table.printed(name, key), table.unit(key)] for key in table.keys]
        rows.append([])
    return rows


GRIDS: tuple[Callable[[Table], Rows], ...] = (wide, units_below, long, transposed, unit_column, blocks)
DELIMITERS = (",", ";", "\t", "|")


def delimited(rows: Rows, delimiter: str, quoting: int = csv.QUOTE_MINIMAL) -> str:
    stream = io.StringIO()
    csv.writer(stream, delimiter=delimiter, quoting=quoting).writerows(rows)
    return stream.getvalue()


# ------------------------------------------------------------------------------------------------ texts


def aligned(rows: Rows, gap: int, *, right: bool) -> str:
    """Set rows in columns as wide as their widest cell, ``gap`` blanks apart."""
    width = max(map(len, rows))
    full = [[*row, *[""] * (width - len(row))] for row in rows]
    sizes = [max(len(row[column]) for row in full) for column in range(width)]
    lines = []
    for row in full:
        cells = [
            text.rjust(size) if right and column else text.ljust(size)
            for column, (text, size) in enumerate(zip(row, sizes, strict=True))
        ]
        lines.append((" " * gap).join(cells).rstrip())
    return "\n".join(lines) + "\n"


def framed(rows: Rows, *, right: bool = False) -> str:
    """Set rows in a frame of plus signs, dashes and bars."""
    body = aligned(rows, 3, right=right).splitlines()
    sizes = [
        max(len(row[column]) if column < len(row) else 0 for row in rows) for column in range(len(rows[0]))
    ]
    rule = "+" + "+".join("-" * (size + 2) for size in sizes) + "+"
    lines = [rule]
    for line in body:
        cells, start = [], 0
        for size in sizes:
            cells.append(line[start : start + size].ljust(size))
            start += size + 3
        lines += ["| " + " | ".join(cells) + " |", rule]
    return "\n".join(lines) + "\n"


def sheets(table: Table, lead: str) -> str:
    """Write one sheet of names and values after the other; ``lead`` leads from a name to its value."""
    lines: list[str] = []
    for name in table.values:
        lines += [f"{table.word('sample')}: {name}", ""]
        for key in table.keys:
            value = f"{table.printed(name, key)} {table.unit(key)}".strip()
            lines.append(f"{table.name(key)}{lead}{value}")
        lines += ["", ""]
    return "\n".join(lines)


def abreast(table: Table) -> str:
    """Write the sheets of all samples side by side."""
    columns = [
        [f"{table.word('sample')}: {name}", ""]
        + [f"{table.name(key)}: {table.printed(name, key)} {table.unit(key)}".strip() for key in table.keys]
        for name in table.values
    ]
    return aligned([list(row) for row in zip(*columns, strict=True)], 6, right=False)


LEADS = (": ", " = ", " ........ ", "\t", " : ")
