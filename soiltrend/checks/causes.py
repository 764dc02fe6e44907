"""Causes are weighed together: how well each explains this bed, the other beds, the years after and the rest.

The rest are the other analytes of the same sample. Weights are posterior shares of belief.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from soiltrend.checks.evidence import Evidence
from soiltrend.checks.finding import Cause
from soiltrend.checks.panels import Panel
from soiltrend.checks.records import months_differ, put_on_between
from soiltrend.checks.weighing import Line
from soiltrend.checks.wording import change
from soiltrend.data import load_toml
from soiltrend.units import confusions

Array = NDArray[np.float64]
Shape = Callable[[Panel, Line], Array]


@dataclass(frozen=True)
class Case:
    """What is to be explained: in ``panel`` the ``bed`` (None: all beds of the round) departed in ``round``.

    A first report that departs may as well be right and all later ones changed: ``turn`` is the round
    from which a lasting change would hold, ``since`` the one before it. ``looks`` is how many comparisons
    noise had. A rise has a ``ramp``, its first and last year. ``own_effects`` are what the records say of a
    cause in this panel.
    """

    panel: Panel
    bed: str | None
    round: int
    turn: int
    since: int | None
    looks: int = 1
    ramp: tuple[float, float] | None = None
    own_effects: Mapping[str, tuple[float, float]] = field(default_factory=dict)


@dataclass(frozen=True)
class Effect:
    """What a cause does to one panel: ``mean`` and ``sd`` on its scale, for one bed or for all of a round."""

    panel: Panel
    bed: str | None
    shape: str
    mean: float
    sd: float


@dataclass(frozen=True)
class Explanation:
    """One cause with the ways in which it could have come about; each way is a set of effects."""

    code: str
    text: str
    prior: float
    ways: tuple[tuple[Effect, ...], ...] = ()


def shape_of(name: str, case: Case, panel: Panel, line: Line) -> Array:
    """Return the pattern over the reports of ``line`` that a cause of this shape leaves."""
    if name == "ramp" and case.ramp is not None:
        start, end = case.ramp
        return np.asarray(np.clip((panel.years[line.columns] - start) / (end - start), 0, 1), dtype=float)
    rounds, lab = panel.rounds[line.columns], panel.lab[line.columns]
    if name == "first":
        return np.asarray(np.arange(rounds.size) == 0, dtype=float)
    if name == "line":
        return np.asarray(panel.years[line.columns] - panel.years[line.columns].mean(), dtype=float)
    if name == "from":
        return np.asarray(rounds >= case.turn, dtype=float)
    here = rounds == (case.turn if name == "laboratory" else case.round)
    if name == "laboratory" and here.any():
        return np.asarray(lab == lab[here][0], dtype=float)
    return np.asarray(here, dtype=float)


def weigh(case: Case, evidence: Evidence, extra: Sequence[Explanation] = ()) -> tuple[Cause, ...]:
    """Return the causes of a departure, most believed first, with shares of belief that add up to one."""
    candidates = [*explanations(case, evidence), *extra]
    scores = np.array([_score(candidate, case, evidence) for candidate in candidates])
    shares = np.exp(scores - scores.max())
    shares /= shares.sum()
    shown = load_toml("check_causes")["shown"]
    order = [i for i in np.argsort(-shares, kind="stable") if shares[i] >= shown["least"]][: shown["most"]]
    return tuple(
        Cause(candidates[i].code, _with_fit(candidates[i], case, evidence), round(float(shares[i]), 3))
        for i in order
    )


def _score(candidate: Explanation, case: Case, evidence: Evidence) -> float:
    """Return ln(prior × likelihood), the likelihood averaged over the ways."""
    if not candidate.ways:
        return float(np.log(candidate.prior))
    ways = [sum(_odds(effect, case, evidence) for effect in way) for way in candidate.ways]
    return float(np.log(candidate.prior) + np.logaddexp.reduce(ways) - np.log(len(ways)))


def _odds(effect: Effect, case: Case, evidence: Evidence) -> float:
    total = 0.0
    for line in _lines(effect, case, evidence):
        total += line.log_odds(shape_of(effect.shape, case, effect.panel, line), effect.mean, effect.sd)
    return total


def _lines(effect: Effect, case: Case, evidence: Evidence) -> Iterator[Line]:
    """Yield the series that an effect speaks of: the round's shared one, one bed's, or every bed's."""
    # Against a rise stands no change at all: a drift of the soil would be that rise itself.
    lines = evidence.lines(case.ramp is None)[effect.panel.key]
    if effect.bed is not None:
        if effect.bed in effect.panel.beds:
            own = lines.own.get(effect.panel.beds.index(effect.bed))
            if own is not None:
                yield own
    elif lines.shared is not None:
        yield lines.shared
    else:
        yield from lines.own.values()


def explanations(case: Case, evidence: Evidence) -> Iterator[Explanation]:
    """Yield every cause that could apply to the case at all."""
    table = load_toml("check_causes")
    wording = "text" if case.bed is not None else "round"
    yield Explanation("noise", table["noise"][wording], table["noise"]["prior"] * case.looks)
    yield from _unit_causes(case, evidence, table["unit"])
    for code, row in table.items():
        if ("effect" in row or code in case.own_effects) and (prior := _prior(code, row, case, evidence)) > 0:
            ways = tuple(_ways(code, row, case, evidence))
            if any(ways):
                yield Explanation(code, row.get(wording, row["text"]), prior, ways)


def _levels(case: Case, row: dict[str, Any]) -> list[str | None]:
    """Return whom a cause can have struck: the bed of the case, or all beds of the round (None)."""
    if case.bed is None:
        return [] if row.get("beds_only") else [None]
    whole_round = not row.get("beds_only") and not case.panel.shares(case.round)
    return [case.bed, None] if whole_round else [case.bed]


def _unit_causes(case: Case, evidence: Evidence, row: dict[str, Any]) -> Iterator[Explanation]:
    """Yield one cause per factor; a factor that other analytes share may have struck them all."""
    wording = row["text"] if case.bed is not None else row["round"]
    for confusion in confusions(case.panel.analyte):
        if not case.panel.log and confusion.factor != 10:
            continue
        ways = []
        for bed in _levels(case, row):
            # That the first report alone is wrong says the same as that all later ones are, and is likelier.
            for shape in row["shape"] if case.round == case.turn else ["one"]:
                alone = _factor_effect(case.panel, bed, shape, confusion.code, row["spread"])
                alike = [
                    effect
                    for panel in evidence.panels
                    if panel.log and panel.in_round(case.round)
                    for effect in _factor_effect(panel, bed, shape, confusion.code, row["spread"])
                ]
                ways += [tuple(alone)] + ([tuple(alike)] if len(alike) > len(alone) else [])
        if any(ways):
            prior = _unit_prior(confusion.code.removesuffix("-inverse"), case, row)
            yield Explanation(
                f"unit-{confusion.code}", wording.format(what=confusion.text), prior, tuple(ways)
            )


def _unit_prior(code: str, case: Case, row: dict[str, Any]) -> float:
    """Return how many such slips a garden expects: reports slip in units, single values in decimal points."""
    raised = float(load_toml("check_causes")["record"]["raised"])
    typed = code in row["clerical"]
    if case.bed is None:
        return float(row["prior"]) * (raised if code in row["common"] else 1.0)
    return float(row["prior"] * raised if typed else row["prior_per_bed"])


def _factor_effect(panel: Panel, bed: str | None, shape: str, code: str, spread: float) -> list[Effect]:
    if not panel.log:
        return []
    return [
        Effect(panel, bed, shape, float(np.log(confusion.factor)), spread)
        for confusion in confusions(panel.analyte)
        if confusion.code == code
    ]


def _ways(code: str, row: dict[str, Any], case: Case, evidence: Evidence) -> Iterator[tuple[Effect, ...]]:
    for bed in _levels(case, row):
        for shape in row["shape"]:
            if (shape == "ramp") is not (case.ramp is not None) and "ramp" in row["shape"]:
                continue
            if shape == "line" and case.ramp is not None:
                continue
            way = tuple(
                Effect(panel, bed, shape, *effect)
                for panel in evidence.panels
                if panel.in_round(case.round) and (panel is case.panel or not row.get("single"))
                if (effect := _effect_of(code, row, panel, case)) is not None
            )
            if any(effect.panel is case.panel for effect in way):
                yield way


def _effect_of(code: str, row: dict[str, Any], panel: Panel, case: Case) -> tuple[float, float] | None:
    if panel is case.panel and code in case.own_effects:
        return case.own_effects[code]
    effects = row.get("effect", {})
    pair = effects.get(panel.analyte, effects.get("*") if panel.log else None)
    return (float(pair[0]), float(pair[1])) if pair else None


def _prior(code: str, row: dict[str, Any], case: Case, evidence: Evidence) -> float:
    """Return the relative weight before the numbers; what the records say raises or lowers it."""
    prior = float(row["prior"])
    record = load_toml("check_causes")["record"]
    if code == "laboratory":
        return prior if case.panel.changed_laboratory(case.turn) else 0.0
    if code == "season" and months_differ(case, evidence):
        return prior * float(record["raised"])
    if code == "put-on":
        known = put_on_between(case.bed, case.since, case.turn, evidence)
        return prior * float(record["raised"]) if known else 0.0
    if code == "real-change" and evidence.garden.amendments:
        return prior * float(record["lowered"])
    return prior


def _with_fit(candidate: Explanation, case: Case, evidence: Evidence) -> str:
    """Return the text of a cause with what it would make of this value, where it says a definite size."""
    if not candidate.code.startswith("unit-"):
        return candidate.text
    definite = [
        effect
        for way in candidate.ways
        for effect in way
        if effect.panel is case.panel and effect.mean and effect.sd < abs(effect.mean) / 5
    ]
    if not definite:
        return candidate.text
    made = change(definite[0].mean, case.panel.log, case.panel.unit)
    return f"{candidate.text.rstrip('.')}: that makes {made}."
