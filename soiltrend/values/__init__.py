"""One printed result → number, qualifier, rating set aside."""

from soiltrend.values.cells import is_rating, parse_result
from soiltrend.values.numbers import decimal_convention, read_number
from soiltrend.values.result import Result

__all__ = ["Result", "decimal_convention", "is_rating", "parse_result", "read_number"]
