"""Findings and checked statements as short arguments."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from soiltrend.checks.finding import Finding
from soiltrend.data import load_toml
from soiltrend.report.beds import Names
from soiltrend.report.doubts import Doubts, title_of
from soiltrend.report.model import CauseView, Caution, ClaimView, FindingView, Json, Link, Part
from soiltrend.report.numbers import about_share, reading, with_unit
from soiltrend.report.series import Scale
from soiltrend.report.words import analyte_in_text, analyte_name, first_sentence, listed


def finding_views(doubts: Doubts, names: Names, places: Mapping[str, str]) -> tuple[FindingView, ...]:
    """Return the doubtful and unbelievable findings in their order; ``places`` are the rows' anchors."""
    return tuple(
        _finding(finding, number, names, places) for number, finding in enumerate(doubts.serious, start=1)
    )


def _finding(finding: Finding, number: int, names: Names, places: Mapping[str, str]) -> FindingView:
    causes = sorted(finding.causes, key=lambda cause: -cause.weight)
    several = len(causes) > 1
    text, more = first_sentence(finding.text)
    return FindingView(
        id=f"finding-{number}",
        severity=finding.severity,
        kind=finding.code,
        title=title_of(finding.code),
        beds=(names.bed(finding.bed),) if finding.bed else (),
        bed=finding.bed or "",
        analyte=finding.analyte or "",
        analyte_name=analyte_in_text(finding.analyte) if finding.analyte else "",
        text=text,
        more=more,
        arithmetic=finding.arithmetic,
        causes=tuple(CauseView(cause.text, about_share(cause.weight) if several else "") for cause in causes),
        would_change=finding.would_change,
        next_step=finding.next_step,
        places=tuple(_place(place, places) for place in finding.observations),
    )


def _place(place: str, places: Mapping[str, str]) -> Link:
    return Link(place, f"#{places[place]}" if place in places else "")


def cautions(doubts: Doubts, names: Names) -> tuple[Caution, ...]:
    """Return the notes, those of one code together."""
    grouped: dict[str, list[Finding]] = {}
    for finding in doubts.notes:
        grouped.setdefault(finding.code, []).append(finding)
    return tuple(
        Caution(
            title=title_of(code),
            lines=tuple(Part(names.bed(item.bed or ""), item.text) for item in items),
            next_steps=tuple(dict.fromkeys(item.next_step for item in items if item.next_step)),
        )
        for code, items in grouped.items()
    )


def warnings(texts: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Return each general caution and, apart, the source that it ends with in square brackets."""
    found = [re.fullmatch(r"(.*?)(?: \[(.*)\])?", text, re.DOTALL) for text in texts]
    return tuple((match[1], match[2] or "") for match in found if match)


def claim_views(claims: Sequence[Json], system: str) -> tuple[ClaimView, ...]:
    """Return the checked statements in their order."""
    meanings = load_toml("display")["verdicts"]
    return tuple(
        ClaimView(
            id=f"claim-{number}",
            claim=str(claim.get("claim") or ""),
            verdict=str(claim.get("verdict") or ""),
            verdict_text=str(meanings.get(claim.get("verdict"), "")),
            understood=_understood(claim.get("understood") or {}, system),
            reasons=tuple(str(reason["text"]) for reason in claim.get("reasons") or ()),
            say_instead=str(claim.get("say_instead") or ""),
            to_settle=str(claim.get("to_settle") or ""),
            not_understood=_joined(claim.get("not_understood")),
        )
        for number, claim in enumerate(claims, start=1)
    )


def _joined(words: Any) -> str:
    return str(words or "") if isinstance(words, str | None) else listed([str(word) for word in words])


def _understood(said: Mapping[str, Any], system: str) -> tuple[tuple[str, str], ...]:
    """Return what a statement was taken to say as pairs of a name and a value; what it left out is absent."""
    scale = Scale.of(str(said.get("unit") or ""), system)
    directions = {"up": "a rise", "down": "a fall", "none": "no change"}
    pairs = [
        ("Measure", analyte_name(said["measure"]) if said.get("measure") else ""),
        ("Direction", directions.get(str(said.get("direction")), "")),
        ("Denied", "yes" if said.get("negated") else ""),
        ("From", _amount(said.get("from"), scale.unit)),
        ("To", _amount(said.get("to"), scale.unit)),
        ("Change", _amount(said.get("change"), scale.change)),
        ("Percent", _amount(said.get("percent"), "%")),
        ("Times", _amount(said.get("times"), "")),
        ("A rate", "per year" if said.get("per_year") else ""),
        ("Years", _amount(said.get("span_years"), "")),
        ("Beds", listed([str(bed) for bed in said.get("beds") or ()])),
    ]
    return tuple((name, value) for name, value in pairs if value)


def _amount(value: Any, unit: str) -> str:
    return "" if value is None else with_unit(reading(float(value)), unit)
