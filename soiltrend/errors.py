"""What can be wrong with a call, a record or a report, worded for the person who can mend it.

Checks return findings; only broken input raises one of these. The command line turns each into
one message and an exit status and never into a traceback.
"""

from collections.abc import Iterable
from dataclasses import dataclass


class SoiltrendError(Exception):
    """Base of every error a person can mend. The message says what, where, found and what to do."""


class UnreadableFile(SoiltrendError):  # noqa: N818 -- it names the thing, as FileNotFoundError does not
    """One report could not be read. The others still are; the command then ends with exit status 1."""


class CannotConvert(SoiltrendError):  # noqa: N818
    """A printed result cannot become the canonical unit with what is known; the message says what lacks."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong in one place of the records folder.

    ``line`` counts from 1 with the header as line 1; ``column`` is the heading or the TOML key.
    """

    file: str
    line: int | None
    column: str | None
    expected: str
    found: str
    advice: str = ""

    def __str__(self) -> str:
        """Say file, line, column, expected, found and what to do in one sentence."""
        where = self.file
        if self.line is not None:
            where += f" line {self.line}"
        if self.column:
            where += f", {self.column}"
        text = f"{where}: expected {self.expected}, found {self.found}."
        return f"{text} {self.advice}" if self.advice else text


class RecordsError(SoiltrendError):
    """The records folder holds something that cannot be used; nothing was written."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))
