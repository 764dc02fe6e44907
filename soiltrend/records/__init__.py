"""The records folder: loading, validation with file and line, starting a new one."""

from soiltrend.records.blank import new_garden
from soiltrend.records.load import load_garden
from soiltrend.records.models import Garden
from soiltrend.records.names import BedMatch, beds_named, match_bed, nearest

__all__ = ["BedMatch", "Garden", "beds_named", "load_garden", "match_bed", "nearest", "new_garden"]
