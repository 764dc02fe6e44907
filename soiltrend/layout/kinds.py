"""What a file looks like: a soil test, or the analysis of something else, an invoice, nothing at all."""

import re
from collections.abc import Sequence

from soiltrend.data import load_toml

SOIL = "soil test"
HEAD_LINES = 25
HEAD_WEIGHT = 3
TITLE_WORDS = 3  # words of a line that is a title
TITLE_WEIGHT = 9
PROSE_WORDS = 7


def looks_like(lines: Sequence[str]) -> str:
    """Return ``"soil test"``, or what the file is instead, by the words it uses.

    Words in the first lines count more: a soil report may recommend compost and an invoice may list soil
    tests, but each says at its head what it is.
    """
    table = load_toml("report_kinds")
    kinds = table["kinds"]
    lines = [_without_trade(line, table["trade"]) for line in lines if not _is_prose(line)]
    # a name never runs on to the next line: 'Soil & Water' over 'Sampled 3 May' is no water sample
    head = "\n".join(lines[:HEAD_LINES]).casefold()
    body = "\n".join(lines).casefold()
    titles = "\n".join(line for line in lines[:HEAD_LINES] if len(line.split()) <= TITLE_WORDS).casefold()
    scores = {name: _score(entry, head, body) + _title_score(entry, titles) for name, entry in kinds.items()}
    best = max(scores, key=lambda name: scores[name])
    soil = scores.get(SOIL, 0)
    return best if best != SOIL and scores[best] > soil and scores[best] >= HEAD_WEIGHT else SOIL


def says_soil(lines: Sequence[str]) -> bool:
    """Whether any line uses the words of a soil test."""
    return _score(load_toml("report_kinds")["kinds"][SOIL], "", "\n".join(lines).casefold()) > 0


def _without_trade(line: str, trade: dict[str, list[str]]) -> str:
    """Leave out what else a laboratory tests: 'Soil & Water Testing' says nothing of water."""
    soil, joint, other = ("|".join(trade[name]) for name in ("soil", "joint", "other"))
    return re.sub(rf"\b({soil})(?!\w)\s*(?:{joint})\s*(?:{other})\w*", r"\1", line, flags=re.IGNORECASE)


def _is_prose(line: str) -> bool:
    """Whether a line talks: what it mentions is not what the paper is."""
    words = line.split()
    numbers = sum(any(c.isdigit() for c in word) for word in words)
    small = sum(word[:1].islower() for word in words)  # a title has capitals
    return len(words) >= PROSE_WORDS and numbers * 4 < len(words) and small * 3 > len(words)


def _title_score(entry: dict[str, list[str]], titles: str) -> int:
    """Return what a short line at the head counts that begins with one of the words: 'INVOICE 20417'."""
    found = any(re.search(rf"^\s*{word}\b", titles, re.MULTILINE) for word in entry["words"])
    return TITLE_WEIGHT if found else 0


def _score(entry: dict[str, list[str]], head: str, body: str) -> int:
    in_head = sum(bool(re.search(rf"\b{word}", head)) for word in entry["words"])
    in_body = sum(bool(re.search(rf"\b{word}", body)) for word in entry["words"])
    return HEAD_WEIGHT * in_head + in_body
