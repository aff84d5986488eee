"""Hazard signs for labels: our own plain drawings in the square frame on its corner that the GHS prescribes."""

from __future__ import annotations

#: Frame of the United Nations GHS, 1.4.10.4: a square set at a point, red on white, the symbol black.
_FRAME = '<path d="M50 4 96 50 50 96 4 50Z" fill="#ffffff" stroke="#c4161c" stroke-width="6"/>'
#: sign -> (what it is called for those who hear the page, our drawing).
_DRAWN: dict[str, tuple[str, str]] = {
    "exclamation": (
        "exclamation mark",
        '<path d="M43 24h14l-3 34h-8z" fill="#000000"/><circle cx="50" cy="69" r="6" fill="#000000"/>',
    ),
    "environment": (
        "dead tree and fish: harms life in water",
        '<path d="M36 66V34M36 46l-9-8M36 42l8-9M36 52l7-6M22 66h30" stroke="#000000" stroke-width="4" fill="none"/>'
        '<path d="M50 62c6-8 18-8 24-1 2-3 4-5 7-6-2 4-2 8 0 12-3-1-5-2-7-5-7 7-18 7-24 0z" fill="#000000"/>'
        '<path d="M24 74h44" stroke="#000000" stroke-width="4"/>',
    ),
    "corrosion": (
        "drops on a hand and on metal: corrosive",
        '<path d="M24 36 42 26l3 6-18 10zM58 26l18 10-3 6-18-10z" fill="#000000"/>'
        '<circle cx="34" cy="48" r="2.6" fill="#000000"/><circle cx="34" cy="56" r="2.6" fill="#000000"/>'
        '<circle cx="66" cy="48" r="2.6" fill="#000000"/><circle cx="66" cy="56" r="2.6" fill="#000000"/>'
        '<path d="M22 62h8l4 6 4-6h8v8H22zM54 64h8l4 5 4-5h6v6H54z" fill="#000000"/>',
    ),
    "health": (
        "star on a chest: harms health for long",
        '<circle cx="50" cy="27" r="9" fill="#000000"/><path d="M30 70c0-20 6-31 20-31s20 11 20 31z" fill="#000000"/>'
        '<path d="M50 45l4 9 9 1-7 6 2 9-8-5-8 5 2-9-7-6 9-1z" fill="#ffffff"/>',
    ),
}


def sign_svg(sign: str) -> str:
    """Draw one sign.

    Parameters
    ----------
    sign : str
        ``exclamation``, ``environment``, ``corrosion`` or ``health``.
    """
    _, drawn = _DRAWN[sign]
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 100 100">'
        f'{_FRAME}<g transform="translate(10.5 9) scale(0.79)">{drawn}</g></svg>'
    )


def sign_words(sign: str) -> str:
    """Say what a sign shows.

    Parameters
    ----------
    sign : str
        As for :func:`sign_svg`.
    """
    return _DRAWN[sign][0]
