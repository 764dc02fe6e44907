"""What a check says: a stable code, how serious, the numbers, the causes and what to do next."""

from dataclasses import dataclass, field
from typing import Any, Literal

Severity = Literal["note", "doubtful", "unbelievable"]


@dataclass(frozen=True, slots=True)
class Cause:
    """One explanation. ``weight`` is its share of belief among the causes of this finding, 0 to 1."""

    code: str
    text: str
    weight: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that is hard to believe. ``observations`` are ``source: place`` strings.

    ``arithmetic`` holds the lines that a grower can follow with a pocket calculator;
    ``would_change`` says what would change the verdict.
    """

    code: str
    severity: Severity
    bed: str | None
    analyte: str | None
    observations: tuple[str, ...]
    text: str
    numbers: dict[str, Any] = field(default_factory=dict)
    causes: tuple[Cause, ...] = ()
    next_step: str = ""
    arithmetic: tuple[str, ...] = ()
    would_change: str = ""
