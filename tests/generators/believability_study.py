"""How often the checks find what was planted, and how often they accuse an honest garden.

Run it by hand: ``python -m tests.generators.believability_study [GARDENS] [WORKERS]``; 200 gardens for each
story take some minutes. It prints one line per story: the share found (the planted code, not as a note,
naming the planted bed, beds or year) and the share of gardens in which somebody else was accused.
"""

import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import partial

from soiltrend.checks import Finding
from tests.checks.gardens import findings_of
from tests.simulated_gardens import STORIES, Simulated, deep_compost, honest, worst_bed

Story = Callable[[int], Simulated]
HONEST: dict[str, Story] = {
    "honest, noise as stated": honest,
    "honest, noise x 0.7": partial(honest, noise=0.7),
    "honest, noise x 1.3": partial(honest, noise=1.3),
    "honest, noise x 2": partial(honest, noise=2.0),
    "honest, 3 beds 4 years": partial(honest, beds=3, years=4),
    "honest, 12 beds 2 years": partial(honest, beds=12, years=2),
    "deep compost in the records": deep_compost,
    "worst bed chosen": worst_bed,
}


def names_it(finding: Finding, planted: dict[str, object]) -> bool:
    """Whether a finding is the planted story: its code, and its bed, beds or year."""
    if finding.code != planted["code"]:
        return False
    if "beds" in planted:
        return set(finding.numbers["beds"]) >= planted["beds"]  # type: ignore[operator]
    if "bed" in planted:
        return finding.bed == planted["bed"]
    return str(finding.numbers["date"]).startswith(str(planted["year"]))


def outcome(name: str, seed: int) -> tuple[bool, bool, bool]:
    """Return for one garden: found, anybody else accused, anything called unbelievable."""
    simulated = (STORIES | HONEST)[name](seed)
    hard = [f for f in findings_of(simulated) if f.severity != "note"]
    own = [f for f in hard if name in STORIES and names_it(f, simulated.planted)]
    others = [f for f in hard if f not in own and not _same_thing(f, simulated.planted)]
    return bool(own), bool(others), any(f.severity == "unbelievable" for f in others)


def _same_thing(finding: Finding, planted: dict[str, object]) -> bool:
    """Whether a finding under another code is about what was planted, said in another way."""
    if "bed" in planted:
        return finding.bed == planted["bed"] and "code" in planted
    if "beds" in planted:
        return finding.bed in planted["beds"]  # type: ignore[operator]
    dates = " ".join([str(finding.numbers.get("date", "")), *finding.observations])
    return str(planted.get("year", "never")) in dates


def main(gardens: int = 200, workers: int = 2) -> None:
    """Print one line for each story."""
    with ProcessPoolExecutor(workers) as pool:
        for name in [*HONEST, *STORIES]:
            rows = list(pool.map(partial(outcome, name), range(gardens), chunksize=10))
            found, accused, unbelievable = (sum(column) / gardens for column in zip(*rows, strict=True))
            share = f"found {found:6.1%}" if name in STORIES else " " * 12
            print(f"{name:30} {share}   falsely accused {accused:6.1%}   unbelievable {unbelievable:6.1%}")


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:]))
