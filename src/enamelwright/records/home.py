"""The one folder a studio's data lives in."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

#: Names the folder; the platform's data folder is used when it is not set.
VARIABLE = "ENAMELWRIGHT_HOME"
#: A database elsewhere, as a URL; SQLite in the folder when it is not set.
URL_VARIABLE = "ENAMELWRIGHT_DATABASE"


@dataclass(frozen=True)
class Home:
    """Places inside the data folder.

    Attributes
    ----------
    folder : Path
        The data folder.
    url : str
        Database URL; empty for SQLite inside the folder.
    """

    folder: Path
    url: str = ""

    @classmethod
    def usual(cls) -> Home:
        """Return the folder and database the environment names, else the platform's."""
        named = os.environ.get(VARIABLE)
        if named:
            folder = Path(named).expanduser()
        else:
            from platformdirs import user_data_path

            folder = user_data_path("enamelwright", appauthor=False)
        return cls(folder, os.environ.get(URL_VARIABLE, ""))

    @property
    def database(self) -> Path:
        """The SQLite file."""
        return self.folder / "studio.sqlite"

    @property
    def photos(self) -> Path:
        """Pictures by hash."""
        return self.folder / "photos"

    @property
    def snapshots(self) -> Path:
        """Copies of the record."""
        return self.folder / "snapshots"

    @property
    def on_sqlite(self) -> bool:
        """Whether the record is the SQLite file in the folder."""
        return not self.url
