"""The usual cautions for what is put on: worded as cautions, with their sources."""

from collections.abc import Iterable
from typing import Any

from soiltrend.balance.contents import Contents
from soiltrend.balance.model import Balance, unique
from soiltrend.balance.substances import Substance
from soiltrend.data import load_toml


def cautions_for(balance: Balance) -> tuple[str, ...]:
    """Return the cautions for everything that was put on in a garden; none where nothing was.

    A single bed and year decides on phosphorus, nitrogen and salts.
    """
    substances = [part.substance for one in balance.applied for part in one.portions]
    loads = [load for bed in balance.beds for load in balance.yearly(bed.bed).values()]
    return cautions(substances, loads)


def cautions(substances: Iterable[Substance], loads: Iterable[Contents]) -> tuple[str, ...]:
    """Return what to mind with these materials, the closing line last.

    Parameters
    ----------
    substances : iterable of Substance
        The materials; a mix's parts together.
    loads : iterable of Contents
        kg/m² at one time or in one year, each looked at by itself.
    """
    tags = {tag for substance in substances for tag in substance.tags}
    held = list(loads)
    table = load_toml("cautions")
    found = [_text(row) for row in table["caution"] if _called_for(row, tags, held)]
    return unique([*found, table["closing"]["text"]]) if found else ()


def _called_for(row: dict[str, Any], tags: set[str], loads: list[Contents]) -> bool:
    if tags & set(row.get("tags", ())):
        return True
    groups = row.get("all_tags", ())
    if groups and all(tags & set(group) for group in groups):
        return True
    limits = row.get("carries", {}).items()
    return any(load[quantity].typical >= limit for quantity, limit in limits for load in loads)


def _text(row: dict[str, Any]) -> str:
    return f"{row['text']} [{row['source']}]"
