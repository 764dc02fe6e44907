"""The words of one garden: its beds, treatments, materials and own measures, as phrases of a sentence."""

import re

from soiltrend.data import load_toml
from soiltrend.records.models import Garden
from soiltrend.records.names import measure_name

Names = dict[str, tuple[str, str]]


def garden_names(garden: Garden | None) -> Names:
    """Return phrase → (kind, name) for everything that this garden calls by a name of its own."""
    words = load_toml("claim_materials")
    names: Names = {word: ("material", word) for word in words["words"]}
    names |= {word: ("material", material) for word, material in words["done_with"].items()}
    if garden is None:
        return names
    names |= {m.material: ("material", m.material) for m in garden.materials}
    names |= {m.mix: ("material", m.mix) for m in garden.mixes}
    names |= {a.material: ("material", a.material) for a in garden.amendments}
    names |= {m.measure.replace("_", " "): ("measure", measure_name(m.measure)) for m in garden.measurements}
    names |= {bed.treatment: ("treatment", bed.treatment) for bed in garden.beds if bed.amended}
    for bed in garden.beds:
        for called in (bed.bed, *bed.also_called):
            names |= dict.fromkeys(_ways_to_say(called), ("bed", bed.bed))
    return names


def _ways_to_say(name: str) -> set[str]:
    """'Bed 3' may be said 'bed 3' or 'bed number 3'; 'North' may be said 'north bed' or 'the north bed'."""
    plain = re.sub(r"[\s_-]+", " ", name).strip()
    ways = {name, plain}
    bare = re.sub(r"^bed\s+|\s+bed$", "", plain, flags=re.IGNORECASE)
    if bare:
        ways |= {f"bed {bare}", f"{bare} bed"}
    return ways if len(plain) > 1 else {f"bed {plain}", f"{plain} bed"}
