"""What was put on each bed, what it held, and the most it can have changed."""

from soiltrend.balance.applications import build
from soiltrend.balance.contents import QUANTITIES, Contents
from soiltrend.balance.layer import Layer, layer_of
from soiltrend.balance.model import Applied, Balance
from soiltrend.balance.outcome import Possible, Stocks
from soiltrend.balance.ranges import Range

__all__ = [
    "QUANTITIES",
    "Applied",
    "Balance",
    "Contents",
    "Layer",
    "Possible",
    "Range",
    "Stocks",
    "build",
    "layer_of",
]
