"""What an organic-matter method counts of what was put on: char in full, in part or hardly."""

from dataclasses import dataclass
from functools import cache

from soiltrend.balance.contents import Contents
from soiltrend.balance.ranges import Range
from soiltrend.data import load_csv

UNKNOWN = "loss_on_ignition"


@dataclass(frozen=True, slots=True)
class Method:
    """How a method turns a material into percent: by ``mass`` burnt or by ``carbon`` × factor."""

    name: str
    by_carbon: bool
    factor: Range
    char: Range

    def char_of(self, contents: Contents) -> Range:
        """Return the char that the method counts."""
        whole = contents.char_carbon if self.by_carbon else contents.char_matter
        return whole * self.char * self.factor

    def rest_of(self, contents: Contents) -> Range:
        """Return the organic matter other than char that the method counts."""
        if self.by_carbon:
            return _less(contents.carbon, contents.char_carbon) * self.factor
        return _less(contents.organic_matter, contents.char_matter) * self.factor

    def counted(self, contents: Contents) -> Range:
        """Return everything that the method counts."""
        return self.rest_of(contents) + self.char_of(contents)


def _less(whole: Range, part: Range) -> Range:
    """Take a part out of its whole end by end: both ends are those of the same material."""
    ends = sorted(max(0.0, getattr(whole, end) - getattr(part, end)) for end in ("low", "typical", "high"))
    return Range(*ends)


@cache
def om_methods() -> dict[str, Method]:
    """Return the known organic-matter methods by name."""
    found = {}
    for row in load_csv("om_methods"):
        factor, char = (
            Range(*(float(row[f"{what}_{end}"]) for end in ("low", "typical", "high")))
            for what in ("factor", "char")
        )
        found[row["method"]] = Method(row["method"], row["basis"] == "carbon", factor, char)
    return found


def om_method(name: str) -> Method:
    """Return how the method counts; an unknown one is taken for loss on ignition, the usual one."""
    return om_methods().get(name, om_methods()[UNKNOWN])


def carbon_method(name: str) -> Method:
    """Return how a test that reports organic carbon counts: carbon as carbon, char by the method."""
    like = om_methods().get(name, om_methods()["dry_combustion"])
    return Method(like.name, True, Range.exact(1.0), like.char)
