"""How far a test could have moved: one answer per kind of analyte."""

from collections.abc import Callable
from datetime import date

from soiltrend.balance.acidity import possible_ph
from soiltrend.balance.exchange import possible_cec
from soiltrend.balance.layer import Layer, layer_of
from soiltrend.balance.model import Balance
from soiltrend.balance.nutrients import QUANTITY, possible_nutrient, possible_total_n
from soiltrend.balance.organic import possible_organic
from soiltrend.balance.outcome import Possible
from soiltrend.balance.question import Question

ANSWERS: dict[str, Callable[[Question], Possible]] = {
    "organic_matter": possible_organic,
    "organic_carbon": possible_organic,
    **dict.fromkeys(QUANTITY, possible_nutrient),
    "total_n": possible_total_n,
    "ph": possible_ph,
    "cec": possible_cec,
}


def possible(
    balance: Balance,
    bed: str,
    analyte: str,
    start: date,
    end: date,
    start_value: float,
    *,
    layer: Layer | None = None,
    method: str = "",
    unit: str = "",
    organic_matter_pct: float | None = None,
) -> Possible | None:
    """Return how far ``analyte`` can have moved on ``bed`` between two dates, or None.

    None means that what was put on says nothing about this analyte (nitrate, salts, trace elements).

    Parameters
    ----------
    balance : Balance
        What was put on.
    bed, analyte : str
        The bed's name and the analyte's vocabulary name.
    start, end : date
        Days of the two samples; applications on either day count.
    start_value : float
        The first value in the analyte's canonical unit.
    layer : Layer, optional
        The sampled layer, see :func:`soiltrend.balance.layer_of`; else the garden's.
    method : str
        Vocabulary name; matters for organic matter (char) and CEC.
    unit : str
        The series' unit; ``mg/dm3`` (by volume of soil) is never compared with masses put on.
    organic_matter_pct : float, optional
        Organic matter at the start, for CEC and to estimate bulk density.
    """
    answer = ANSWERS.get(analyte)
    if answer is None or unit == "mg/dm3" or end < start:
        return None
    known = start_value if analyte == "organic_matter" else organic_matter_pct
    where = layer or layer_of(balance.garden, balance.bed(bed), organic_matter_pct=known)
    return answer(
        Question(
            balance=balance,
            bed=bed,
            analyte=analyte,
            start=start,
            end=end,
            start_value=start_value,
            layer=where,
            method=method,
            organic_matter_pct=known,
        )
    )
