"""A new records folder: commented, empty files to fill in."""

from pathlib import Path

from soiltrend import resources
from soiltrend.files import write_folder

FOLDERS = ("reports", "layouts")


def new_garden(folder: Path) -> None:
    """Write a commented, empty records folder at ``folder``.

    Raises
    ------
    SoiltrendError
        The folder holds something already, or cannot be written; nothing was written.
    """
    write_folder(folder, resources.contents("templates/records"), FOLDERS)
