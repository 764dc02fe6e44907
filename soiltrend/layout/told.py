"""Results told in a line of text: ``Bed 1: pH 6.4, OM 4.2 %, P 55 ppm``."""

import re
from collections.abc import Sequence

from soiltrend.layout.columns import LEFT_KINDS
from soiltrend.layout.entries import bare, words_of_name
from soiltrend.layout.finds import WHY_LEFT, Find, Harvest, Spot, assay_of, parse, place_of
from soiltrend.layout.labels import label_of
from soiltrend.layout.lines import Line
from soiltrend.readers.document import Page
from soiltrend.vocabulary import match_method
from soiltrend.vocabulary.sentences import names_group

LEAST = 2  # results that make a line a list of results
LONGEST_NAME = 40
_COUNT = re.compile(r"^\d{1,2}[.)]\s+(?=[^\W\d])")  # '2) Spud field'
_BETWEEN = re.compile(r"[,;]\s+|\s+\|\s+")
_NAMED = re.compile(r"\s*([^:]+):\s+(.+)")


def read_told(
    lines: Sequence[Line], page: Page, index: int, harvest: Harvest, used: set[int], *, several: bool
) -> set[int]:
    """Read every line that lists results one behind the other; return the positions of such lines."""
    found: set[int] = set()
    title = ""
    for position, line in enumerate(lines):
        if position in used or page.medium == "grid":
            continue
        name, pieces = _pieces(line.text)
        title = title if pieces else _title(line)
        name = "" if _says_method(name) else name
        if len(pieces) >= LEAST and not name[:1].islower():  # 'regia: lead 186 mg/kg' goes on from above
            found.add(position)
            own = {"sample": name} if name else {"section": title} if title else {}
            for piece, cut in pieces:
                place = place_of(page, line, "", several=several)
                _take(piece.split(), cut, Spot(index, line.index, line.phrases[0].x0, place), own, harvest)
    return found


def _says_method(name: str) -> bool:
    """Whether what stands before a list is no sample but a method, a group or the end of a sentence."""
    return bool(re.search(r"[.!?]\s", name) or match_method(name) or names_group(name))


def _title(line: Line) -> str:
    """Return a short line that can head the results told below it: the name of a sample."""
    text = _COUNT.sub("", line.text.strip().rstrip(":"))
    bare_name = len(line.phrases) == 1 and len(text) <= LONGEST_NAME and not text.endswith((".", ",", ";"))
    return text if bare_name and not label_of(text).known and ":" not in text else ""


def _pieces(text: str) -> tuple[str, list[tuple[str, int]]]:
    """Return the sample's name before a colon and (piece, words of its name); nothing if one is else."""
    named = _NAMED.fullmatch(text)
    name, rest = (named[1].strip(), named[2]) if named else ("", text)
    if name and (label_of(bare(name)).known or len(name) > LONGEST_NAME):
        name, rest = "", text if label_of(bare(name)).analyte else rest
    parts = [part.strip(" .") for part in _BETWEEN.split(" ".join(rest.split())) if part.strip(" .")]
    cuts = [words_of_name(part) for part in parts]
    return (name, list(zip(parts, cuts, strict=True))) if all(cuts) else ("", [])


def _take(words: list[str], cut: int, spot: Spot, own: dict[str, str], harvest: Harvest) -> None:
    label = label_of(bare(" ".join(words[:cut])))
    printed = " ".join(words[cut:])
    if label.analyte is None:
        return
    assay = assay_of(label)
    result = parse(printed, harvest.decimal)
    role = label.role or (assay.kind if assay.kind in LEFT_KINDS else "")
    if role in WHY_LEFT or result.status == "text":
        harvest.leave(printed, label.text, spot.place, WHY_LEFT.get(role, "it is no number that can be read"))
    elif result.status != "not-run":
        harvest.finds.append(
            Find(
                assay=assay, printed=printed, result=result, spot=spot, own=own,
                reason=f"It follows '{label.text}' in a line that lists results.",
            )
        )  # fmt: skip
