"""Yearly soil-test reports in; honest trends, doubtful changes named, claims checked.

The package page: README.md says what it does for a grower, DEVELOPERS.md where each piece lives.
"""

__version__ = "0.1.0"
