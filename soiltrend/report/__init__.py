"""The report: data classes, words and numbers for a reader, small charts, one HTML file."""

from soiltrend.report.build import build_model
from soiltrend.report.downloads import copies
from soiltrend.report.model import FileRead, Report, ReportInput
from soiltrend.report.render import render

__all__ = ["FileRead", "Report", "ReportInput", "build_model", "copies", "render"]
