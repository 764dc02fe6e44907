"""Which analyte the words of a heading name when they are taken together."""

from collections.abc import Iterable

from soiltrend.vocabulary.choice import CATIONS, Chosen
from soiltrend.vocabulary.match import Words

# The lesser name gives way to the greater where both stand in one heading.
_GIVES_WAY = (
    ("ph", "buffer_ph"),
    ("organic_carbon", "organic_matter"),  # 'Humus (Corg x 1.724)'
    ("total_n", "nitrate_n"),
    ("total_n", "ammonium_n"),
    ("sodium", "base_saturation_na"),  # '% Na (ESP)'
    ("potassium", "base_saturation_k"),
)


def named(words: Words) -> tuple[str, ...]:
    """Return the analytes that a heading names, most often one."""
    found = list(dict.fromkeys(c.entry.analyte for c in words.having("analyte", "form")))
    found = _generic(words, found)
    if not found:
        found = list(dict.fromkeys(c.entry.analyte for c in words.having("method") if c.entry.analyte))
    if len(found) > 1:
        found = _without_exchange(words, found)
    return tuple(_give_way(words, found))


def _generic(words: Words, found: list[str]) -> list[str]:
    """Add what ``N`` or ``carbon`` stands for where nothing else says it."""
    said = {c.entry.value for c in words.having("generic")}
    if "N" in said and not {"nitrate_n", "ammonium_n", "total_n"} & set(found):
        found = [*found, "total_n"]
    if "C" in said and not {"organic_carbon", "total_carbon"} & set(found):
        found = [*found, "organic_carbon"]
    return found


def _without_exchange(words: Words, found: list[str]) -> list[str]:
    """Drop the capacity from a share of it: ``K, % of CEC`` is about potassium."""
    share = words.phrase.unit == "%" or words.kind == "saturation"
    if share and CATIONS & set(found):
        return [name for name in found if name not in ("cec", "base_saturation")]
    return found


def _give_way(words: Words, found: Iterable[str]) -> list[str]:
    names = list(found)
    for lesser, greater in _GIVES_WAY:
        if lesser in names and greater in names and (lesser != "organic_carbon" or _carbon_factor(words)):
            names.remove(lesser)
    return names


def _carbon_factor(words: Words) -> bool:
    """Whether the heading prints the factor from carbon to organic matter."""
    return any(map(is_carbon_factor, words.having("")))


def is_carbon_factor(chosen: Chosen) -> bool:
    """Whether an unknown word is a factor such as 1.724, 1,72 or 2.0."""
    return chosen.item.text.replace(",", ".").startswith(("1.72", "1.9", "2.0"))
