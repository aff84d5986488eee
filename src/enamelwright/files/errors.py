"""The error of this folder: a file that cannot be read or trusted."""

from __future__ import annotations

from enamelwright.errors import InputError


class FileError(InputError):
    """A file that cannot be read or trusted; `where` names the file, the remedy says what to do."""
