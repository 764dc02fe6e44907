"""What was put on each bed, what it held, and the most it can have changed."""

from soiltrend.balance.applications import build
from soiltrend.balance.contents import QUANTITIES, Contents
from soiltrend.balance.layer import Layer, layer_of
from soiltrend.balance.model import Applied, Balance
from soiltrend.balance.needed import Needed, needed_for
from soiltrend.balance.outcome import Possible, Stocks
from soiltrend.balance.ranges import Range
from soiltrend.balance.rows import COLUMNS, change_record, possible_for, to_records
from soiltrend.balance.stocks import stocks, stocks_after

__all__ = [
    "COLUMNS",
    "QUANTITIES",
    "Applied",
    "Balance",
    "Contents",
    "Layer",
    "Needed",
    "Possible",
    "Range",
    "Stocks",
    "build",
    "change_record",
    "layer_of",
    "needed_for",
    "possible_for",
    "stocks",
    "stocks_after",
    "to_records",
]
