"""Analytes, methods and units: their printed spellings → names (data/*.toml)."""

from soiltrend.units import match_unit, match_unit_cell
from soiltrend.vocabulary.analytes import Analyte, Method, analyte, analytes, methods
from soiltrend.vocabulary.match import AnalyteMatch
from soiltrend.vocabulary.matching import match_analyte
from soiltrend.vocabulary.sentences import find_methods, match_method

__all__ = [
    "Analyte",
    "AnalyteMatch",
    "Method",
    "analyte",
    "analytes",
    "find_methods",
    "match_analyte",
    "match_method",
    "match_unit",
    "match_unit_cell",
    "methods",
]
