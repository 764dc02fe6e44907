"""Damaged reports: an error that the program knows or a reading, never a crash and never no number."""

import math
import random
from pathlib import Path

import pytest

from soiltrend.errors import SoiltrendError
from tests.layout.bytes_of import read_bytes
from tests.layout.expected import FIXTURES, reports

ROUNDS = 6


def _cut(content: bytes, rng: random.Random) -> bytes:
    return content[: rng.randrange(len(content))]


def _flip(content: bytes, rng: random.Random) -> bytes:
    changed = bytearray(content)
    for _ in range(rng.randrange(1, 30)):
        changed[rng.randrange(len(changed))] = rng.randrange(256)
    return bytes(changed)


def _swap(content: bytes, rng: random.Random) -> bytes:
    a, b = sorted(rng.randrange(len(content)) for _ in range(2))
    middle = (a + b) // 2
    return content[:a] + content[middle:b] + content[a:middle] + content[b:]


def _repeat(content: bytes, rng: random.Random) -> bytes:
    a = rng.randrange(len(content))
    return content[:a] + content[a : a + 200] * 3 + content[a:]


def _digits(content: bytes, rng: random.Random) -> bytes:
    return bytes(
        rng.choice(b"0123456789.,<>-eE+ ") if c in b"0123456789" and rng.random() < 0.3 else c
        for c in content
    )


MUTATIONS = (_cut, _flip, _swap, _repeat, _digits)


@pytest.mark.parametrize("report", reports(), ids=lambda p: p.relative_to(FIXTURES).as_posix())
def test_a_damaged_report_never_crashes(report: Path) -> None:
    content = report.read_bytes()
    rng = random.Random(report.name)
    for _ in range(ROUNDS):
        damaged = rng.choice(MUTATIONS)(content, rng)
        try:
            reading = read_bytes(damaged, report.name)
        except SoiltrendError:
            continue
        numbers = [one.result.number for one in reading.readings if one.result.number is not None]
        assert all(math.isfinite(number) for number in numbers)
