"""Reads pictures of sixteen bits a channel from TIFF, as programs that develop raw files write them.

The usual picture library cuts such files down to eight bits without a word, which takes from the dark
tiles what was gained by not using JPEG. Read here: one picture, red green blue or with a fourth channel that is
left out, in strips, not packed or packed with deflate. Anything else is refused by name.
"""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.files.errors import FileError

#: Numbers of TIFF 6.0 (Adobe 1992, section 8 and pages 117-118), from memory.
_WIDTH, _HEIGHT, _BITS, _PACKING, _COLOURS, _STRIPS, _TURN, _SAMPLES = 256, 257, 258, 259, 262, 273, 274, 277
_ROWS, _LENGTHS, _PLANAR, _PREDICTOR, _TILED = 278, 279, 284, 317, 322
#: Bytes of each kind of entry that is read, and how it is unpacked.
_KINDS = {1: (1, "B"), 3: (2, "H"), 4: (4, "I")}
_PLAIN, _DEFLATE, _OLD_DEFLATE = 1, 8, 32946
_RGB = 2
#: Most entries of a directory and most strips: far more than any such program writes.
_MOST_ENTRIES, _MOST_STRIPS = 500, 200_000


@dataclass(frozen=True)
class Head:
    """What the directory of a TIFF says.

    Attributes
    ----------
    order : str
        ``<`` or ``>``: which byte comes first.
    entries : dict
        Number of an entry to its values.
    """

    order: str
    entries: dict[int, tuple[int, ...]]

    def one(self, number: int, otherwise: int) -> int:
        """Return one number of an entry.

        Parameters
        ----------
        number, otherwise : int
            Of the entry; what holds when it is missing.
        """
        return self.entries.get(number, (otherwise,))[0]

    @property
    def bits(self) -> int:
        """Bits of a channel."""
        return max(self.entries.get(_BITS, (1,)))

    @property
    def size(self) -> tuple[int, int]:
        """Width and height as stored [pixels]."""
        return self.one(_WIDTH, 0), self.one(_HEIGHT, 0)


def is_tiff(data: bytes) -> bool:
    """Whether a file says it is TIFF."""
    return data[:4] in {b"II*\x00", b"MM\x00*"}


def read_head(data: bytes, where: str = "") -> Head:
    """Read the first directory of a TIFF.

    Parameters
    ----------
    data : bytes
        The whole file.
    where : str
        Its name, for the message.

    Raises
    ------
    FileError
        When it is damaged.
    """
    order = "<" if data[:2] == b"II" else ">"
    try:
        (place,) = struct.unpack_from(f"{order}I", data, 4)
        (count,) = struct.unpack_from(f"{order}H", data, place)
        if count > _MOST_ENTRIES:
            raise _damaged(where)
        entries = {}
        for n in range(count):
            tag, kind, many, _ = struct.unpack_from(f"{order}HHII", data, place + 2 + 12 * n)
            if kind not in _KINDS or not 0 < many <= _MOST_STRIPS:
                continue
            width, sign = _KINDS[kind]
            at = place + 2 + 12 * n + 8
            if width * many > 4:
                (at,) = struct.unpack_from(f"{order}I", data, at)
            entries[tag] = struct.unpack_from(f"{order}{many}{sign}", data, at)
    except struct.error as error:
        raise _damaged(where) from error
    return Head(order, entries)


def read_pixels(data: bytes, head: Head, where: str = "") -> npt.NDArray[np.uint16]:
    """Read the picture of a TIFF of sixteen bits a channel.

    Parameters
    ----------
    data : bytes
        The whole file.
    head : Head
        Of :func:`read_head`; its size has been judged.
    where : str
        Its name, for the message.

    Returns
    -------
    ndarray of uint16, shape (height, width, 3)
        Upright.

    Raises
    ------
    FileError
        When it is of a kind that is not read here, or damaged.
    """
    width, height = head.size
    samples, packing, turn = head.one(_SAMPLES, 1), head.one(_PACKING, _PLAIN), head.one(_TURN, 1)
    if head.one(_COLOURS, 0) != _RGB or samples not in {3, 4}:
        raise FileError("this TIFF is not red, green and blue.", "Save it as RGB.", where)
    if _TILED in head.entries or head.one(_PLANAR, 1) != 1 or packing not in {_PLAIN, _DEFLATE, _OLD_DEFLATE}:
        raise FileError("this TIFF is packed in a way that is not read here.", "Save it without compression.", where)
    starts, lengths = head.entries.get(_STRIPS, ()), head.entries.get(_LENGTHS, ())
    rows = min(head.one(_ROWS, height), height)
    if not starts or len(starts) != len(lengths) or rows < 1 or len(starts) != -(-height // rows):
        raise _damaged(where)
    parts = []
    for n, (start, length) in enumerate(zip(starts, lengths, strict=True)):
        here = min(rows, height - n * rows)
        wanted = here * width * samples * 2
        strip = data[start : start + length]
        if packing != _PLAIN:
            try:
                strip = zlib.decompressobj().decompress(strip, wanted)
            except zlib.error as error:
                raise _damaged(where) from error
        if len(strip) < wanted:
            raise _damaged(where)
        part = np.frombuffer(strip[:wanted], dtype=f"{head.order}u2").reshape(here, width, samples)
        if head.one(_PREDICTOR, 1) == 2:  # each number is the step from the one before
            part = np.cumsum(part, axis=1, dtype=np.uint16)
        parts.append(part[..., :3])
    return np.ascontiguousarray(_upright(np.concatenate(parts), turn), dtype=np.uint16)


def _upright(picture: npt.NDArray[np.uint16], turn: int) -> npt.NDArray[np.uint16]:
    """Turn a picture as its orientation entry says (TIFF 6.0, page 36)."""
    if turn in {2, 3}:
        picture = picture[:, ::-1]
    if turn in {3, 4}:
        picture = picture[::-1]
    if turn in {5, 6, 7, 8}:
        picture = picture.transpose(1, 0, 2)
        if turn in {6, 7}:
            picture = picture[:, ::-1]
        if turn in {7, 8}:
            picture = picture[::-1]
    return picture


def _damaged(where: str) -> FileError:
    return FileError("this TIFF is damaged.", "Save it again.", where)
