"""A sentence → tokens that carry a meaning: measures, directions, amounts, units, spans, beds."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from soiltrend.claims.neighbours import joined
from soiltrend.claims.token import Token, plain
from soiltrend.data import load_toml

LONGEST_PHRASE = 7
SHORTEST_TYPO = 5
TYPO_LIKENESS = 0.8
NAME_LIKENESS = 0.86
FIRST_YEAR, LAST_YEAR = 1950, 2100
# These are symbols of elements only where they are written as symbols.
CASED = {"p": "P", "k": "K", "ca": "Ca", "mg": "Mg", "om": "OM", "ec": "EC", "l": "L"}
FUNCTION_WORDS = ("from", "to", "by", "since", "until", "between", "and", "but", "while", "than", "with")
ARROWS = ("->", "→", "=>", "–", "—")
_PIECES = re.compile(
    r"(?P<number>[+-]?\d+(?:,\d{3})+(?:\.\d+)?|[+-]?\d+/\d+|[+-]?\d*[.,]?\d+)|(?P<fraction>[½¼¾⅓⅔])"
    r"|(?P<symbol>->|=>|[→–—%°×~;:?!.,()])|(?P<word>[^\W\d_](?:[\w'’./&°-]*[\w°])?|/\w+|-(?=\d))"
)
_FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3}


@dataclass(frozen=True, slots=True)
class _Piece:
    text: str
    plain: str
    number: float | None = None
    glued: bool = False


def tokenize(text: str, names: Mapping[str, tuple[str, str]] | None = None) -> list[Token]:
    """Return the tokens of ``text``.

    Parameters
    ----------
    names : phrases of this garden (beds, treatments, materials, own measures), lower case → (kind, value)
    """
    phrases = {**_phrases(), **{plain(name): meaning for name, meaning in (names or {}).items()}}
    pieces = list(_pieces(_with_names_mended(text, names or {})))
    tokens: list[Token] = []
    position = 0
    while position < len(pieces):
        token, taken = _longest(pieces, position, phrases)
        tokens.append(token)
        position += taken
    return joined([_corrected(token, phrases) for token in tokens], names or {})


def _pieces(text: str) -> Iterator[_Piece]:
    spaced = _spelled(text)
    spaced = re.sub(r"n['’]t\b", " not", spaced.replace("can't", "can not").replace("won't", "will not"))
    spaced = re.sub(r"(?<=\d)\s*[-–—]\s*(?=\d)", " to ", spaced)
    spaced = re.sub(r"(?<=\d)-(?=[A-Za-z])", " ", spaced)
    last_end = -1
    for match in _PIECES.finditer(spaced):
        glued, last_end = match.start() == last_end, match.end()
        shown = match.group()
        if match.lastgroup == "number" and (value := _number(shown)) is not None:
            yield _Piece(shown, shown, value, glued)
        elif match.lastgroup == "fraction":
            yield _Piece(shown, shown, _FRACTIONS[shown], glued)
        elif match.lastgroup == "word" and "-" in shown and plain(shown) not in _phrases():
            yield from (_Piece(part, plain(part)) for part in shown.split("-") if part)
        else:
            yield _Piece(shown, plain(shown), None, glued)


def _with_names_mended(text: str, names: Mapping[str, tuple[str, str]]) -> str:
    """Mend typing errors in the long words of this garden's bed names ('Orchad Strip')."""
    beds = [name for name, (kind, _) in names.items() if kind == "bed" and " " in name]
    known = {word: plain(word) for name in beds for word in name.split() if len(word) >= SHORTEST_TYPO}

    def mended(match: re.Match[str]) -> str:
        word = plain(match.group())
        if word in known.values() or word in _single_words():
            return match.group()
        near = get_close_matches(word, known.values(), n=1, cutoff=NAME_LIKENESS)
        return near[0] if near and near[0][0] == word[0] else match.group()

    return re.sub(r"[^\W\d_]{5,}", mended, text)


def _spelled(text: str) -> str:
    """Mend typing errors in words of two-word names ('organic mater'), which no single word could give."""

    def mended(match: re.Match[str]) -> str:
        word = match.group()
        if plain(word) in _single_words():
            return word
        near = get_close_matches(plain(word), _name_words(), n=1, cutoff=NAME_LIKENESS)
        return near[0] if near and near[0][0] == plain(word)[0] else word

    return re.sub(r"[^\W\d_]{5,}", mended, text)


def _number(shown: str) -> float | None:
    if "/" in shown:
        top, bottom = shown.split("/")
        return float(top) / float(bottom) if float(bottom) else None
    if re.fullmatch(r"[+-]?\d+(,\d{3})+(\.\d+)?", shown):
        return float(shown.replace(",", ""))
    return float(shown.replace(",", "."))


def _longest(
    pieces: list[_Piece], position: int, phrases: Mapping[str, tuple[str, str | float]]
) -> tuple[Token, int]:
    for size in range(min(LONGEST_PHRASE, len(pieces) - position), 0, -1):
        run = pieces[position : position + size]
        for spelled in _spellings(run):
            meaning = phrases.get(spelled)
            if meaning and _written_as_symbol(spelled, run):
                return Token(meaning[0], meaning[1], " ".join(p.text for p in run)), size
    return _single(pieces[position])


def _spellings(run: Iterable[_Piece]) -> tuple[str, ...]:
    words = [piece.plain for piece in run]
    glued = words[0] + "".join(piece.plain if piece.glued else f" {piece.plain}" for piece in list(run)[1:])
    return (" ".join(words), glued)


def _written_as_symbol(phrase: str, run: list[_Piece]) -> bool:
    return phrase not in CASED or run[0].text == CASED[phrase] or run[0].text.isupper()


def _single(piece: _Piece) -> tuple[Token, int]:
    if piece.number is not None:
        whole_year = piece.number == int(piece.number) and FIRST_YEAR <= piece.number <= LAST_YEAR
        is_year = whole_year and re.fullmatch(r"\d{4}", piece.text)
        return Token("year" if is_year else "number", piece.number, piece.text), 1
    if piece.plain in ARROWS:
        return Token("to", "to", piece.text), 1
    if piece.plain == "?":
        return Token("question", "?", "?"), 1
    if piece.plain in {".", ";", "!", ":", ","}:
        return Token("stop", piece.plain, piece.text), 1
    fold = re.fullmatch(r"(\w+)-?fold", piece.plain)
    if fold and (times := load_toml("claim_words")["numbers"].get(fold[1])):
        return Token("times", times, piece.text), 1
    if not any(c.isalnum() or c in "%°~" for c in piece.plain):
        return Token("filler", piece.plain, piece.text), 1
    return Token("word", piece.plain, piece.text), 1


def _corrected(token: Token, phrases: Mapping[str, tuple[str, str | float]]) -> Token:
    """Read a word with a typing error as the one content word that it is nearly the same as."""
    if token.kind != "word" or len(token.text) < SHORTEST_TYPO:
        return token
    near = get_close_matches(str(token.value), _content_words(), n=1, cutoff=TYPO_LIKENESS)
    if not near or near[0][0] != str(token.value)[0]:
        return token
    kind, value = phrases[near[0]]
    return Token(kind, value, f"{token.text}≈{near[0]}")


@cache
def _content_words() -> tuple[str, ...]:
    kinds = {"measure", "direction", "times", "unit", "span", "unmeasurable"}
    return tuple(
        phrase
        for phrase, (kind, _) in _phrases().items()
        if kind in kinds and " " not in phrase and len(phrase) >= SHORTEST_TYPO
    )


@cache
def _name_words() -> tuple[str, ...]:
    """Return the words that names of more than one word are made of, such as 'organic' and 'matter'."""
    names = [p for p, (kind, _) in _phrases().items() if kind in {"measure", "unmeasurable"} and " " in p]
    return tuple(sorted({word for name in names for word in name.split() if len(word) >= SHORTEST_TYPO}))


@cache
def _single_words() -> frozenset[str]:
    return frozenset(word for phrase in _phrases() for word in phrase.split())


@cache
def _phrases() -> dict[str, tuple[str, str | float]]:
    """Every phrase of the language → (kind, value). Later tables win where a phrase stands in two."""
    words = load_toml("claim_words")
    found: dict[str, tuple[str, str | float]] = {}

    def put(phrases: Iterable[str], kind: str, value: str | float) -> None:
        found.update({plain(phrase): (kind, value) for phrase in phrases})

    put(words["filler"]["phrases"], "filler", "")
    put(words["numbers"], "number", 0.0)
    found.update({plain(word): ("number", value) for word, value in words["numbers"].items()})
    for table, kind in (("direction", "direction"), ("units", "unit"), ("spans", "span")):
        for value, spelled in words[table].items():
            put(spelled, kind, value)
    for measure, spelled in words["measures"].items():
        put(spelled, "measure", measure)
    for measure, spelled in words["not_measurable"].items():
        put(spelled, "unmeasurable", measure)
    for phrase, (measure, direction) in words["implied"].items():
        put([phrase], "implied", f"{measure}|{direction}")
    found.update({plain(word): ("times", value) for word, value in words["times"].items()})
    found.update({plain(word): ("fraction", value) for word, value in words["fraction_percent"].items()})
    for table in (
        "crops",
        "moving",
        "rate",
        "negation",
        "approximate",
        "at_least",
        "at_most",
        "cause",
        "comparative",
    ):
        put(words[table]["phrases"], table, table)
    for table in ("whole_garden", "amended_beds", "control_beds"):
        put(words[table]["phrases"], table, table)
    for word in FUNCTION_WORDS:
        put([word], word, word)
    return found
