"""A sentence → what it says → whether the evidence carries it → what to say instead."""

from datetime import date
from typing import Any

from soiltrend.claims.evidence import Evidence, Limit
from soiltrend.claims.judge import Judged, judge
from soiltrend.claims.say import say_instead, to_settle
from soiltrend.claims.statement import Statement
from soiltrend.claims.understand import understand

__all__ = ["KEYS", "Evidence", "Judged", "Limit", "Statement", "check_claim", "to_records", "understand"]

KEYS = ("claim", "understood", "verdict", "reasons", "numbers", "say_instead", "to_settle", "not_understood")


def check_claim(
    text: str,
    evidence: Evidence,
    beds: tuple[str, ...] = (),
    since: date | None = None,
    until: date | None = None,
) -> list[Judged]:
    """Return a verdict on every statement of a sentence.

    Raises
    ------
    SoiltrendError
        The sentence is empty or far too long.
    """
    return [judge(s, evidence, beds, since, until) for s in understand(text, evidence.garden)]


def to_records(judged: list[Judged]) -> list[dict[str, Any]]:
    """Return the JSON objects of ``soiltrend claim``, one per statement."""
    return [
        {
            "claim": one.claim,
            "understood": one.statement.understood(),
            "verdict": one.verdict,
            "reasons": [{"code": reason.code, "text": reason.text} for reason in one.reasons],
            "numbers": one.numbers,
            "say_instead": say_instead(one),
            "to_settle": to_settle(one),
            "not_understood": [*one.statement.not_understood],
        }
        for one in judged
    ]
