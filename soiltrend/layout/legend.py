"""What a report says its own codes mean: 'PH_W: pH in 1:1 water', or a sheet of codes and meanings."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from soiltrend.layout.labels import Label, label_of
from soiltrend.layout.lines import Line

SHORTEST, LONGEST = 1, 14  # letters of a code
_CODE = re.compile(rf"[A-Za-z][\w%-]{{{SHORTEST - 1},{LONGEST - 1}}}")
_SAID = r"(?:[^:=]|(?<=\d):(?=\d))+?"  # 'pH in 1:1 water'
_NEXT = rf"\.\s|\.?$|;|,\s+{_CODE.pattern}\s*[:=]"
_PAIR = re.compile(rf"(?<![\w-])(?P<code>{_CODE.pattern})\s*[:=]\s*(?P<meaning>{_SAID})(?={_NEXT})")
_REMARK = re.compile(r"\s*\([^()]*\)")


def legend_of(pages: Sequence[Sequence[Line]]) -> dict[str, Label]:
    """Return what each heading or name means that the report explains elsewhere, where that names a result.

    Codes that the vocabulary knows to the method already keep their own meaning.
    """
    pairs = {code: (meaning, own) for lines in pages for line in lines for code, meaning, own in _pairs(line)}
    phrases = [phrase for lines in pages for line in lines for phrase in line.phrases]
    printed = Counter(phrase.text for phrase in phrases if phrase.text in pairs)
    found: dict[str, Label] = {}
    for code, (meaning, itself) in pairs.items():
        own, told = label_of(code), label_of(_REMARK.sub("", meaning).strip())
        names = told.analyte is not None and told.analyte.exact and not told.role
        if printed[code] > itself and names and _adds(own, told):
            found[code] = replace(told, text=code)
    return found


def _pairs(line: Line) -> Iterator[tuple[str, str, int]]:
    """Yield each code with its meaning, and how often the pair itself prints the code as a phrase."""
    texts = [phrase.text for phrase in line.phrases]
    if len(texts) == 2 and _CODE.fullmatch(texts[0]) and not any(c.isdigit() for c in texts[1][:1]):
        yield texts[0], texts[1], 1
    for text in texts:
        yield from ((found["code"], found["meaning"].strip(), 0) for found in _PAIR.finditer(text))


def _adds(own: Label, told: Label) -> bool:
    """Whether the meaning says more than the code: another result is no meaning but a pair of names."""
    if own.analyte is None or told.analyte is None:
        coded = "_" in own.text or own.text.isupper() or any(c.isdigit() for c in own.text)
        free = not own.known or own.field == "other"  # 'N' is short for a number too
        return coded and free and told.analyte is not None
    if own.analyte.weak and own.text.isupper() and len(own.text) == 1:
        return True  # 'N = nitrate-N': one letter says little
    same = own.analyte.analyte == told.analyte.analyte
    return same and not own.analyte.method and bool(told.analyte.method)
