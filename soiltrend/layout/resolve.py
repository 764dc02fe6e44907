"""A find and the report around it → a reading: sample, date, layer, method, laboratory, report number."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import combinations

from soiltrend.layout.context import SAMPLE_FIELDS, Context
from soiltrend.layout.dates import Order, PrintedDate, date_in_name, find_date, order_in_time, printed_order
from soiltrend.layout.depths import Layer, depth_unit, find_layer, is_bare_layer
from soiltrend.layout.finds import Assay, Find, unit_in, with_unit_of_cell
from soiltrend.layout.footnotes import footnotes_of
from soiltrend.layout.labnames import laboratory
from soiltrend.layout.naming import Names
from soiltrend.layout.reading import Reading
from soiltrend.layout.words import field_of
from soiltrend.vocabulary import find_methods, match_unit, methods
from soiltrend.vocabulary.sentences import is_everyday

TABLE_GAPS = 5  # gaps of a line that heads or fills a table and tells nothing in words
HEADING_WORDS = 7  # words of a line that heads rows
FULL_LINE, FULL_LETTERS = 8, 60  # words and letters of a line of running text that goes on below
SENTENCE_WORDS = 5  # words of a line that may go on in the next
# A date of this field is of this basis. A bare 'date' beside a sample is its sampling date.
BASES = {
    "date_sampled": "sampled",
    "column_date": "sampled",
    "date_received": "received",
    "date_reported": "reported",
}
# 'Fe, Cu, Zn y' goes on, '6 in' does not.
_JOINS = re.compile(r"(?:,|(?<!\d )\b(?:and|und|et|y|by|par|por|with|mit|in|im|aus|en|con|of|de|au))$")
_FOR_ALL = re.compile(r"\b(all|nutrients?|elements?|extract\w*|Extrakt\w*|extrac\w*)\b", re.IGNORECASE)
_AMERICAN = re.compile(r"\d\s?(?:in\b|inch|\")|\blbs?\s?/\s?a|\bacre", re.IGNORECASE)
_ORDERS: tuple[Order, ...] = ("day-first", "month-first")
AMBIGUOUS, ASSUMED = "date-ambiguous", "date-assumed"
LAYER_ASSUMED = "layer-assumed"


class Resolver:
    """Knows what the report says outside its tables, and gives each find what is its own."""

    def __init__(self, context: Context, lines: Sequence[str], stem: str, finds: Sequence[Find] = ()) -> None:
        self.context = context
        self._in_tables = {
            name: list(dict.fromkeys(find.own[name] for find in finds if find.own.get(name)))
            for name in ("date_sampled", "column_date", "date", "date_received", "date_reported")
        }
        self.messages: list[str] = []
        self.lab = laboratory(context.all("lab"), context.lines)
        self._names = Names(context, finds, self.lab)
        legends = [line for line in lines if " = " in line]  # 'BUFFER PH = SMP' may look like a row
        outside = dict.fromkeys((*context.lines, *legends))
        prose = [said for line in outside for said in _running_text(line)]
        stating = _whole_sentences([line for line in prose if not _names_sample(line)])
        self._methods = _method_lines(stating)
        self._general = _general_method(stating)
        self._notes = footnotes_of(_whole_sentences(context.lines), lines)
        self._file_date = date_in_name(stem)
        self._mentioned = _only_date(context.lines)
        self.order, self.open_order = self._order(lines)

    def reading(self, find: Find) -> Reading:
        """Return the find with everything that belongs to it."""
        assay = with_unit_of_cell(find.assay, find.result.unit)
        assay = self._with_told_unit(assay, find)
        day, basis, date_notes = self._date(find)
        layer, layer_notes = self._layer(find)
        method, printed = assay.method, assay.method_printed
        marked, note = self._notes.method_of(assay.marks, assay.analyte)
        if marked and (not method or assay.inherited or is_everyday(method)):
            method, printed = marked, note
        elif not method or assay.inherited or is_everyday(method):  # 'total lead', 'metals by aqua regia'
            method, printed = self._methods.get(assay.analyte, (method, printed))
        method_notes: tuple[str, ...] = ()
        if not method and assay.analyte in self._general.applies:
            method, printed = self._general.method, self._general.printed
            method_notes = self._general.notes
        return Reading(
            sample=self._names.of(find),
            analyte=assay.analyte,
            form=assay.form,
            result=find.result,
            value_printed=_without_unit(find.printed, find.result.unit),
            unit_printed=assay.unit_printed or find.result.unit,
            unit=assay.unit or match_unit(find.result.unit),
            method=method,
            method_printed=printed,
            depth_from_cm=layer[0] if layer else None,
            depth_to_cm=layer[1] if layer else None,
            sampled_on=day,
            date_basis=basis,
            lab=self.lab,
            report=find.own.get("report") or self._told(find, "report"),
            place=find.spot.place,
            notes=tuple(
                dict.fromkeys(
                    (
                        *find.notes,
                        *assay.notes,
                        *find.result.notes,
                        *date_notes,
                        *layer_notes,
                        *method_notes,
                    )
                )
            ),
            reason=find.reason,
            page=find.spot.page + 1,
            box=find.spot.box,
        )

    def _with_told_unit(self, assay: Assay, find: Find) -> Assay:
        """Give a result without a unit of its own the one that a footnote or a line for all tells."""
        if assay.unit or assay.unit_printed or find.result.unit:
            return assay
        unit = self._notes.unit_of(assay.marks, assay.analyte)
        return replace(assay, unit=match_unit(unit), unit_printed=unit) if unit else assay

    def is_of_earlier_year(self, find: Find) -> bool:
        """Whether a column is headed by another year than that of the report's own date.

        Such results have reports of their own; a year alone does not say the day.
        """
        nameless = not any(find.own.get(name) for name in ("bed", "sample", "field"))
        year = find.own.get("year", "") if nameless else ""
        printed = find_date(find.own.get("column_date", "") or year)
        if printed is None or printed.month or printed.first or "date_sampled" in find.own:
            return False
        for name in ("date_sampled", "date_received", "date_reported", "date"):
            told = find_date(self._told(find, name))
            if told and (told.day or told.first):
                own = told.year if name == "date_sampled" else self._newest_column(told.year)
                return own != printed.year
        return False

    def _newest_column(self, year: int) -> int:
        """Return the newest year over a column up to ``year``: samples of autumn are reported in January."""
        dates = [found for text in self._in_tables["column_date"] if (found := find_date(text))]
        return max((found.year for found in dates if found.year <= year), default=year)

    def _told(self, find: Find, name: str) -> str:
        return self.context.nearest(name, find.spot.page, find.spot.line, find.spot.x0)

    def _date(self, find: Find) -> tuple[date | None, str, tuple[str, ...]]:
        """Return the best date: of sampling if printed anywhere, else received, reported, the file's name."""
        for name, text in self._date_texts(find):
            printed = find_date(text)
            if printed is None:
                continue
            day, notes = printed.on(self.order)
            if not (printed.month or printed.first) and (own := self._told_in(find, printed.year)):
                return own
            if printed.open and printed.slash != "." and not self.open_order:
                notes = (*notes, AMBIGUOUS)
            return day, BASES.get(name, "sampled" if name in find.own else "reported"), notes
        if self._mentioned is not None:
            day, notes = self._mentioned.on(self.order)
            return day, "reported", (*notes, ASSUMED) if ASSUMED not in notes else notes
        if self._file_date is not None:
            day, notes = self._file_date.on(self.order)
            return day, "filename", notes
        return None, "", ()

    def _told_in(self, find: Find, year: int) -> tuple[date, str, tuple[str, ...]] | None:
        """Return the report's own day, with its basis, where it falls in the year that heads a column."""
        for name in ("date_sampled", "date_received", "date_reported"):
            told = find_date(self._told(find, name))
            if told and told.day + told.first:
                day, notes = told.on(self.order)
                return (day, BASES[name], notes) if day and day.year == year else None
        return None

    def _date_texts(self, find: Find) -> list[tuple[str, str]]:
        own: Mapping[str, str] = find.own
        candidates = [
            ("date_sampled", own.get("date_sampled", "")),
            ("column_date", own.get("column_date", "")),
            ("date", own.get("date", "")),
            ("date_sampled", self._told(find, "date_sampled")),
            ("year", own.get("year", "")),
            ("date_received", own.get("date_received", "") or self._told(find, "date_received")),
            ("date_reported", own.get("date_reported", "") or self._told(find, "date_reported")),
            ("date", self._told(find, "date")),
        ]
        return [(name, text) for name, text in candidates if text]

    def _layer(self, find: Find) -> tuple[Layer | None, tuple[str, ...]]:
        own = find.own
        told_unit = own.get("depth_unit", "")
        unit = depth_unit(f"({told_unit})") or told_unit
        text = own.get("depth") or "-".join(filter(None, (own.get("depth_from"), own.get("depth_to"))))
        text = text or self._told(find, "depth")
        layer = find_layer(text, unit) if text else None
        if layer or not text:
            return layer, ()
        guessed = find_layer(text, self._length()) if is_bare_layer(text) else None
        return guessed, (LAYER_ASSUMED,) if guessed else ()

    def _length(self) -> str:
        """Return the length that layers without a unit are in: inches where the month goes before the day."""
        return {"month-first": "in", "day-first": "cm"}.get(self.order if self.open_order else "", "")

    def _order(self, lines: Sequence[str]) -> tuple[Order, bool]:
        """Return the order of day and month, and whether the file itself shows it."""
        printed = [found for text in self._all_dates() if (found := find_date(text))]
        order = printed_order(printed) or self._order_in_time() or self._order_of_file(printed)
        if order:
            return order, True
        # The only rule left: a report in inches or pounds per acre comes from where the month goes first.
        american = _AMERICAN.search(" ".join(lines))
        return ("month-first" if american else "day-first"), False

    def _order_of_file(self, printed: Sequence[PrintedDate]) -> Order:
        """Use that the file's name has one of the dates: '06/11/2014' in 'report_20140611'."""
        named = self._file_date.on("day-first")[0] if self._file_date and not self._file_date.open else None
        found: set[Order] = {
            order for one in printed for order in _ORDERS if one.open and named and one.on(order)[0] == named
        }
        return found.pop() if len(found) == 1 else ""

    def _all_dates(self) -> list[str]:
        fields = ("date_sampled", "date_received", "date_reported", "date")
        told = [text for name in fields for text in self.context.all(name)]
        return told + [text for texts in self._in_tables.values() for text in texts]

    def _order_in_time(self) -> Order:
        """Use that samples are taken before they are received and reported on."""
        told: list[list[PrintedDate]] = [
            [d for text in self.context.all(name) if (d := find_date(text))]
            for name in ("date_sampled", "date_received", "date_reported")
        ]
        pairs = [(a, b) for one, other in combinations(told, 2) for a in one for b in other]
        orders = {order for first, last in pairs if (order := order_in_time(first, last))}
        return orders.pop() if len(orders) == 1 else ""


@dataclass(frozen=True, slots=True)
class General:
    """The one method that a report states for its nutrients as a whole, and for which it is believed."""

    method: str = ""
    printed: str = ""
    applies: frozenset[str] = frozenset()
    notes: tuple[str, ...] = ()


def _general_method(lines: Sequence[str]) -> General:
    """Return the extraction that lines state without naming a nutrient; nothing where they state two.

    Where no word says that it is for all of them, it is noted ``method-assumed``.
    """
    told: dict[str, tuple[str, str]] = {}
    for line in lines:
        if unit_in(line) and len(line.split()) <= HEADING_WORDS:
            continue  # it heads the rows below it and no others
        for analyte, method, printed in find_methods(line):
            if not analyte and "phosphorus" in methods()[method].applies:
                told.setdefault(method, (printed, line))
    wet = {method for method in told if "soluble_salts" in methods()[method].applies}
    told = {method: said for method, said in told.items() if method not in wet or len(told) == len(wet)}
    if len(told) != 1:
        return General()
    ((method, (printed, line)),) = told.items()
    notes = () if _FOR_ALL.search(line) else ("method-assumed",)
    return General(method, printed, methods()[method].applies, notes)


def _running_text(line: str) -> list[str]:
    """Return a line, or only its sentences where its many gaps show a table or a legend."""
    if line.count(" = ") > 1:
        return line.split("  ")  # 'P1 = weak Bray   P2 = strong Bray'
    if line.count("  ") < TABLE_GAPS:
        return [line]
    parts = line.split("  ")
    return [part for part in parts if (len(part.split()) >= SENTENCE_WORDS and "." in part) or ":" in part]


def _only_date(lines: Sequence[str]) -> PrintedDate | None:
    """Return the one full date that the text mentions without saying of what; None where it mentions two."""
    found = {date for line in lines if (date := find_date(line)) and (date.day or date.first)}
    return found.pop() if len(found) == 1 else None


def _whole_sentences(lines: Sequence[str]) -> list[str]:
    """Join a line that goes on with a small letter, after a word that joins or after a full line of text."""
    joined: list[str] = []
    for line in lines:
        last = joined[-1] if joined else ""
        ends = last.endswith((".", ":", "!", "?", ";")) or len(last.split()) < SENTENCE_WORDS
        small = line[:1].islower() and not match_unit(line)
        if not ends and (small or _JOINS.search(last) or _is_full(last)):
            joined[-1] = f"{last} {line}"
        else:
            joined.append(line)
    return joined


def _is_full(line: str) -> bool:
    """Whether a line is running text that fills its line."""
    return len(line.split()) >= FULL_LINE and len(line) >= FULL_LETTERS and "  " not in line


def _names_sample(line: str) -> bool:
    """Whether a line gives a sample's name, which may look like a method: 'Sample  P1'."""
    return field_of(re.split(r"\s{2,}|:", line.strip())[0]) in SAMPLE_FIELDS


def _without_unit(printed: str, unit: str) -> str:
    """Return the printed value without the unit printed in its cell: '57 ppm' is '57'."""
    return printed.replace(unit, "", 1).strip() if unit else printed


def _method_lines(lines: Sequence[str]) -> dict[str, tuple[str, str]]:
    """Return analyte → (method, as printed) from lines that tell methods; two that disagree tell nothing."""
    told: dict[str, set[tuple[str, str]]] = {}
    for line in lines:
        for analyte, method, printed in find_methods(line):
            only = tuple(methods()[method].applies)  # 'Buffer: SMP' can be of the buffer pH alone
            if analyte or len(only) == 1:
                told.setdefault(analyte or only[0], set()).add((method, printed))
    return {
        analyte: next(iter(given))
        for analyte, given in told.items()
        if len({method for method, _ in given}) == 1
    }
