"""Reads a photo that a camera or telephone made, and gives it back upright and without what it tells of the place.

The picture is decoded and encoded again: nothing that was in the file beside the picture and its
colour profile survives (place, serial number of the camera, comments, a smaller picture inside).
Size and pixels are judged from the head of the file, before anything is decoded. HEIC is decoded in a
process of its own: a damaged file can bring its decoder down, and must not take the bench along.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import wraps
from threading import BoundedSemaphore
from typing import Any, Literal, ParamSpec, TypeVar

from enamelwright.files.errors import FileError

Kind = Literal["jpeg", "png"]
#: Largest file [bytes] and picture [pixels]: what cameras and telephones send unless told otherwise fits.
MOST_BYTES = 50_000_000
MOST_PIXELS = 60_000_000
#: Longest side of the small picture for lists [pixels].
SMALL_SIDE = 480
#: How finely JPEG is written (0-95) where the camera's own tables are not at hand, and for small pictures.
FINE, SMALL_FINE = 92, 80
#: Longest colour profile [bytes] that is taken along.
LONGEST_PROFILE = 1_000_000
#: EXIF numbers (CIPA DC-008, "Exif 2.32", section 4.6): the sub-directory, original moment and its offset.
_EXIF, _TAKEN, _OFFSET = 0x8769, 0x9003, 0x9011
#: Pictures decoded at once: a large one takes half a gigabyte, and a slow one must not hold up all others.
AT_ONCE = 2
_turns = BoundedSemaphore(AT_ONCE)
_P = ParamSpec("_P")
_R = TypeVar("_R")
#: Brands of the file-type box of HEIF still pictures (ISO/IEC 23008-12, annex B).
_HEIF = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")


@dataclass(frozen=True)
class Photo:
    """A picture made ready to keep.

    Attributes
    ----------
    content : bytes
        The whole file, upright, without place.
    kind : str
        ``jpeg`` or ``png``.
    width, height : int
        Pixels, upright.
    taken_at : datetime or None
        When the camera says it was taken; in this machine's zone when the camera names none.
    """

    content: bytes
    kind: Kind
    width: int
    height: int
    taken_at: datetime | None


def in_turn(work: Callable[_P, _R]) -> Callable[_P, _R]:
    """Let only a few threads at once do what takes the memory of whole pictures; the others wait."""

    @wraps(work)
    def waiting(*args: _P.args, **kwargs: _P.kwargs) -> _R:
        with _turns:
            return work(*args, **kwargs)

    return waiting


@in_turn
def read_photo(data: bytes, where: str = "") -> Photo:
    """Read JPEG, PNG or HEIC and make it ready to keep.

    Parameters
    ----------
    data : bytes
        A whole file.
    where : str
        Its name, for the message.

    Raises
    ------
    FileError
        When it is too large, holds too many pixels, is of another kind or is damaged.
    """
    if is_heic(data) and len(data) <= MOST_BYTES:
        from enamelwright.files.photo_apart import read_apart

        return read_apart(data, where)
    return decode(data, where)


def is_heic(data: bytes) -> bool:
    """Whether a file says it is a HEIF still picture."""
    return data[4:8] == b"ftyp" and data[8:12] in _HEIF


def decode(data: bytes, where: str = "") -> Photo:
    """Do the work of :func:`read_photo` in this process.

    Parameters
    ----------
    data : bytes
        A whole file.
    where : str
        Its name, for the message.
    """
    from PIL import Image, ImageOps

    picture = _open(data, where)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # what is odd in its EXIF data is left out anyway
            taken_at = _taken(picture)
            upright = ImageOps.exif_transpose(picture)
        profile = picture.info.get("icc_profile") or b""
        tables, png = getattr(picture, "quantization", None), picture.format == "PNG"
        upright.load()
    except (OSError, ValueError, SyntaxError, RuntimeError, Image.DecompressionBombError, EOFError) as error:
        raise FileError("this photo is damaged.", "Send it again, or take it again.", where) from error
    if upright.width * upright.height > MOST_PIXELS:  # a HEIC may turn out larger than its head says
        raise _too_many(where)
    plain = _plain_mode(upright, keep_see_through=png)
    keeps_colours = plain.mode[:1] == upright.mode[:1] and len(profile) <= LONGEST_PROFILE
    extra: dict[str, Any] = {"icc_profile": profile} if profile and keeps_colours else {}
    plain.info = {}  # comments and the like would be written again
    out = io.BytesIO()
    if png:
        plain.save(out, "PNG", **extra)
    elif tables and plain.mode == upright.mode:
        plain.save(out, "JPEG", qtables=tables, subsampling="4:4:4" if len(tables) == 1 else -1, **extra)
    else:
        plain.save(out, "JPEG", quality=FINE, **extra)
    return Photo(out.getvalue(), "png" if png else "jpeg", plain.width, plain.height, taken_at)


@in_turn
def small(content: bytes) -> bytes:
    """Return a small JPEG of a picture this module made.

    Parameters
    ----------
    content : bytes
        :attr:`Photo.content`.
    """
    picture = _open(content, "")
    profile = picture.info.get("icc_profile") or b""
    picture.draft("RGB", (SMALL_SIDE, SMALL_SIDE))  # JPEG can be decoded smaller from the start
    plain = _plain_mode(picture, keep_see_through=False)
    plain.thumbnail((SMALL_SIDE, SMALL_SIDE))
    plain.info = {}
    out = io.BytesIO()
    extra: dict[str, Any] = {"icc_profile": profile} if profile and plain.mode == picture.mode else {}
    plain.save(out, "JPEG", quality=SMALL_FINE, **extra)
    return out.getvalue()


def _open(data: bytes, where: str) -> Any:
    """Look at the head of a picture and refuse what is too large, before anything is decoded."""
    from PIL import Image, UnidentifiedImageError

    if len(data) > MOST_BYTES:
        raise FileError(f"this photo has more than {MOST_BYTES // 1_000_000} megabytes.", "Send a smaller one.", where)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # our own limit is lower
            if is_heic(data):
                from pi_heif import HeifImageFile  # type: ignore[import-untyped]

                picture: Any = HeifImageFile(io.BytesIO(data))
            else:
                picture = Image.open(io.BytesIO(data), formats=("JPEG", "PNG"))
    except UnidentifiedImageError as error:
        raise FileError("this is no JPEG, PNG or HEIC picture.", "Send one of those.", where) from error
    except Image.DecompressionBombError as error:
        raise _too_many(where) from error
    except (OSError, ValueError, SyntaxError, RuntimeError, EOFError) as error:
        raise FileError("this photo is damaged.", "Send it again, or take it again.", where) from error
    if picture.width * picture.height > MOST_PIXELS:
        raise _too_many(where)
    return picture


def _too_many(where: str) -> FileError:
    return FileError(
        f"this photo has more than {MOST_PIXELS // 1_000_000} million pixels.", "Send a smaller one.", where
    )


def _plain_mode(picture: Any, *, keep_see_through: bool) -> Any:
    """Bring a picture to a mode every reader shows the same way."""
    from PIL import Image

    if picture.mode in {"L", "RGB"}:
        return picture.copy()
    if picture.mode.startswith("I"):  # sixteen bits of grey; the upper eight are what a screen shows
        return picture.point(lambda value: value / 256).convert("L")
    see_through = picture.mode in {"RGBA", "LA", "PA"} or "transparency" in picture.info
    if not see_through:
        return picture.convert("RGB")
    clear = picture.convert("RGBA")
    if keep_see_through:
        return clear
    white = Image.new("RGBA", clear.size, "white")
    return Image.alpha_composite(white, clear).convert("RGB")


def _taken(picture: Any) -> datetime | None:
    """Return when a picture was taken, if the camera says so in a form that can be read."""
    try:
        exif = picture.getexif().get_ifd(_EXIF)
        moment = datetime.strptime(str(exif[_TAKEN]).strip("\x00 "), "%Y:%m:%d %H:%M:%S")
        offset = str(exif.get(_OFFSET, "")).strip("\x00 ")
        if offset:
            return datetime.strptime(f"{moment:%Y-%m-%dT%H:%M:%S}{offset}", "%Y-%m-%dT%H:%M:%S%z")
        return moment.astimezone()
    except (KeyError, ValueError, OSError, SyntaxError, TypeError, OverflowError):
        return None
