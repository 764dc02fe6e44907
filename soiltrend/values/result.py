"""What one result cell says."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """One printed result taken apart.

    ``status`` is ``"measured"`` (``number`` is set; ``qualifier`` may be ``"<"`` or ``">"``),
    ``"not-detected"`` (``qualifier`` is ``"<"``, ``number`` is the limit or None),
    ``"not-run"`` (makes no row) or ``"text"`` (no result at all: a rating, a word).
    ``rating`` is the class letter or word printed beside the number; ``unit`` the unit printed in the cell.
    """

    number: float | None = None
    qualifier: str = ""
    rating: str = ""
    unit: str = ""
    status: str = "text"
    notes: tuple[str, ...] = ()
