"""A camera, a card of 24 patches, and photos of tiles beside it, made from published spectra."""

from __future__ import annotations

import io
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw
from rendered_tiles import NM

Array = npt.NDArray[np.float64]


@lru_cache(maxsize=1)
def _colour() -> Any:
    """colour-science, which only tests may use."""
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour


@lru_cache(maxsize=8)
def sensitivity(camera: str = "Nikon 5100 (NPL)") -> Array:
    """Sensitivity of red, green and blue at `NM` (National Physical Laboratory, as shipped with colour-science)."""
    table = _colour().MSDS_CAMERA_SENSITIVITIES[camera]
    return np.stack([np.interp(NM, table.wavelengths, table.values[:, n], 0, 0) for n in range(3)], axis=1)


@lru_cache(maxsize=8)
def light(name: str) -> Array:
    """Power of a CIE light at `NM`."""
    table = _colour().SDS_ILLUMINANTS[name]
    return np.asarray(np.interp(NM, table.wavelengths, table.values))


@lru_cache(maxsize=1)
def card() -> Array:
    """Reflectance of the 24 patches at `NM`, mean of measured cards (as shipped with colour-science)."""
    table = _colour().SDS_COLOURCHECKERS["BabelColor Average"]
    return np.stack([np.interp(NM, one.wavelengths, one.values) for one in table.values()])


@lru_cache(maxsize=8)
def _weights(name: str) -> Array:
    colour = _colour()
    eye = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    bars = np.stack([np.interp(NM, eye.wavelengths, eye.values[:, n]) for n in range(3)], axis=1)
    table = bars * light(name)[:, None]
    return np.asarray(table * 100 / table[:, 1].sum())


def lab(reflectance: Array, name: str = "D50") -> Array:
    """L*, a*, b* of reflectances (..., NM), by colour-science, 2 degrees."""
    weights = _weights(name)
    white = weights.sum(axis=0)
    colour = _colour()
    return np.asarray(colour.XYZ_to_Lab(reflectance @ weights / 100, colour.XYZ_to_xy(white)))


def lab_of_xyz(xyz: Array) -> Array:
    """L*, a*, b* for the D50 of these weights, by colour-science."""
    colour = _colour()
    return np.asarray(colour.XYZ_to_Lab(xyz / 100, colour.XYZ_to_xy(_weights("D50").sum(axis=0))))


def apart(one: Array, other: Array) -> Array:
    """CIEDE2000 by colour-science."""
    return np.asarray(_colour().delta_E(one, other, method="CIE 2000"))


def raw(reflectance: Array, lamp: Array, camera: str = "Nikon 5100 (NPL)") -> Array:
    """What the camera's three channels catch, white balanced and exposed so that white is 0.85."""
    table = sensitivity(camera) * lamp[:, None]
    return np.asarray(reflectance @ table / table.sum(axis=0) * 0.85)


#: Where the middles of the corner patches lie in the picture, in the order of the card, and its size.
CORNERS = np.array([[110.0, 95.0], [520.0, 70.0], [545.0, 330.0], [95.0, 345.0]])
WIDTH, HEIGHT = 640, 620


def _map(here: Array) -> Array:
    """Perspective from columns and rows of the card to the picture, solved by least squares."""
    there = np.array([[0, 0], [5, 0], [5, 3], [0, 3]], dtype=float)
    rows = []
    for (x, y), (u, v) in zip(there, here, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y, -u], [0, 0, 0, x, y, 1, -v * x, -v * y, -v]]
    return np.asarray(np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3))


def _to(mapped: Array, x: float, y: float) -> tuple[float, float]:
    u, v, w = mapped @ np.array([x, y, 1.0])
    return float(u / w), float(v / w)


def places(count: int) -> list[tuple[float, float, float]]:
    """Middle and radius of each tile in the picture."""
    return [(50.0 + 60 * (n % 10), 400.0 + 52 * (n // 10), 20.0) for n in range(count)]


def scene(
    patches: Array,
    tiles: Array,
    rng: np.random.Generator,
    *,
    noise: float = 0.01,
    flare: float = 0.004,
    slope: float = 0.015,
) -> Array:
    """Linear picture: the card above, tiles below, unevenly lit, with stray light and noise of each pixel."""
    owner = Image.new("L", (WIDTH, HEIGHT), 255)
    draw = ImageDraw.Draw(owner)
    mapped = _map(CORNERS)
    draw.polygon([_to(mapped, x, y) for x, y in ((-0.7, -0.7), (5.7, -0.7), (5.7, 3.7), (-0.7, 3.7))], fill=254)
    for n in range(24):
        x, y = n % 6, n // 6
        draw.polygon(
            [_to(mapped, x + a, y + b) for a, b in ((-0.42, -0.42), (0.42, -0.42), (0.42, 0.42), (-0.42, 0.42))], fill=n
        )
    for n, (x, y, r) in enumerate(places(len(tiles))):
        draw.ellipse((x - r - 3, y - r - 3, x + r + 3, y + r + 3), fill=24 + n)
    table = np.full((256, 3), 0.35)
    table[254] = 0.02
    table[:24], table[24 : 24 + len(tiles)] = patches, tiles
    picture = table[np.asarray(owner)]
    across, down = np.meshgrid(np.linspace(-1, 1, WIDTH), np.linspace(-1, 1, HEIGHT))
    lit = 1 + slope * (rng.normal() * across + rng.normal() * down)
    stray = flare * rng.uniform(0.5, 1.5) * picture.mean(axis=(0, 1))
    picture = picture * lit[..., None] + stray
    return np.asarray(picture * (1 + noise * rng.normal(size=picture.shape)) + 0.0005 * rng.normal(size=picture.shape))


def tiff16(picture: Array) -> bytes:
    """A linear picture as TIFF with sixteen bits a channel, as programs that develop raw files write it (TIFF 6.0)."""
    import struct

    codes = np.round(np.clip(picture, 0, 1) * 65535).astype("<u2")
    height, width, _ = codes.shape
    entries = [
        (256, 4, 1, width), (257, 4, 1, height), (258, 3, 3, 8 + 2 + 12 * 10 + 4), (259, 3, 1, 1), (262, 3, 1, 2),
        (273, 4, 1, 8 + 2 + 12 * 10 + 4 + 6), (277, 3, 1, 3), (278, 4, 1, height), (279, 4, 1, codes.nbytes), (284, 3, 1, 1),
    ]  # fmt: skip
    head = struct.pack("<2sHI", b"II", 42, 8) + struct.pack("<H", len(entries))
    for tag, kind, count, value in entries:
        head += struct.pack("<HHII", tag, kind, count, value)
    return head + struct.pack("<I", 0) + struct.pack("<3H", 16, 16, 16) + codes.tobytes()


def developed(picture: Array, camera_to_screen: Array) -> Array:
    """Codes 0..1 of a picture as cameras write it: their own colours and more contrast than a screen asks for."""
    linear = np.clip(picture @ camera_to_screen.T, 0, 1.05)
    bent = np.clip(linear**1.08 * (1 + 0.25 * linear * (1 - linear)), 0, 1)  # a mild S
    return np.asarray(np.where(bent <= 0.0031308, 12.92 * bent, 1.055 * bent ** (1 / 2.4) - 0.055))


def jpeg(picture: Array, camera_to_screen: Array) -> bytes:
    """The same as a file of eight bits."""
    out = io.BytesIO()
    codes = np.round(developed(picture, camera_to_screen) * 255).astype(np.uint8)
    Image.fromarray(codes).save(out, "JPEG", quality=93)
    return out.getvalue()


def screen_matrix(lamp: Array, camera: str = "Nikon 5100 (NPL)") -> Array:
    """The camera's own three by three numbers to screen colours, white kept white; fitted on other spectra than the card's."""
    rng = np.random.default_rng(5)
    spectra = np.clip(0.5 + 0.5 * np.tanh(np.cumsum(rng.normal(0, 0.25, (200, len(NM))), axis=1)), 0, 1)
    weights = _weights("D65")
    to_screen = np.array(
        [[3.2404542, -1.5371385, -0.4985314], [-0.969266, 1.876011, 0.041556], [0.0556434, -0.2040259, 1.0572252]]
    )
    wanted = spectra @ weights / 100 @ to_screen.T * 0.85
    found = np.linalg.lstsq(raw(spectra, lamp, camera), wanted, rcond=None)[0].T
    return np.asarray(found / found.sum(axis=1, keepdims=True))
