"""The long table: its columns, building it from readings, merging reports, marking duplicates."""

from soiltrend.observations.build import observe
from soiltrend.observations.merge import long_table, merge
from soiltrend.observations.table import COLUMNS, Observation, to_frame, usable

__all__ = ["COLUMNS", "Observation", "long_table", "merge", "observe", "to_frame", "usable"]
