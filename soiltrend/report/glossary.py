"""The technical words of the page and what they mean."""

from soiltrend.data import load_toml
from soiltrend.report.model import Term


def glossary() -> tuple[Term, ...]:
    """Return every term, in alphabetical order of its name."""
    terms = [Term(**term) for term in load_toml("glossary")["term"]]
    return tuple(sorted(terms, key=lambda term: term.name.lower()))
