"""Turn each row of the table of published settings into a piece, and ask the model for its window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import exp, log
from typing import Any

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.laying import lay_up
from enamelwright.craft.operation import Firing, Window
from enamelwright.craft.piece import Piece
from enamelwright.craft.weights import weigh
from enamelwright.craft.window.window import windows_for
from enamelwright.reference.loader import Row, rows

#: The bench of someone who has measured nothing.
UNKNOWN_KILN = Bench.starter()


@dataclass(frozen=True)
class Setting:
    """One published setting beside the model's window for it."""

    id: str
    set_point: float
    seconds: tuple[float, float]
    verdict: str
    use: str
    status: str
    note: str
    window: Window

    @property
    def middle(self) -> float:
        """Geometric mean of the published times [s]."""
        return (self.seconds[0] * self.seconds[1]) ** 0.5

    def holds(self, seconds: float | None = None) -> bool:
        """Whether a time lies inside the window worked out at the published set point."""
        told = self.middle if seconds is None else seconds
        span = self.window.seconds
        return span is not None and span.low <= told <= span.high

    def score(self, seconds: float | None = None) -> float:
        """Interval score of the window for a time, in logarithms: lower is better."""
        span = self.window.seconds
        assert span is not None
        return interval_score(span.low, span.high, self.middle if seconds is None else seconds)


#: Share of times a window may miss: it is told from 5 to 95 %.
MISSED = 0.10


def interval_score(low: float, high: float, seconds: float) -> float:
    """Width of a window, plus 2 / 0.1 times what a time misses it by, all in ln of seconds.

    Source: T. Gneiting and A. E. Raftery, J. Am. Stat. Assoc. 102 (2007) 359, equation 43 (from memory).
    """
    return log(high / low) + 2 / MISSED * max(0.0, log(low / seconds), log(seconds / high))


def best_constant(times: Sequence[float]) -> tuple[float, float]:
    """The one window for all pieces that scores best on some times: its ends lie on two of them."""
    ends = [(low, high) for low in times for high in times if low < high]
    return min(ends, key=lambda pair: sum(interval_score(*pair, one) for one in times))


def mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def geometric(values: Sequence[float]) -> float:
    return exp(mean([log(one) for one in values]))


def _coat(face: str, jar: str, mm: float, row: Row) -> dict[str, Any]:
    coat: dict[str, Any] = {"face": face, "jar": jar, "fired_thickness_mm": mm, "method": row["method"]}
    if row["mesh"]:
        coat["mesh"] = int(row["mesh"])
    return coat


def _jar(name: str, kind: str, row: Row, **more: Any) -> dict[str, Any]:
    found: dict[str, Any] = {"id": name, "name": name, "kind": kind, "starter": row["jar"]}
    return found | ({"fusing": more} if more else {})


def piece_of(row: Row) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the outside form of the piece, and what is special about the firing looked at."""
    coats, laid = [], []
    if float(row["back_mm"]):
        coats.append(_coat("back", "counter", float(row["back_mm"]), row))
    if float(row["under_mm"]):
        coats.append(_coat("front", "under", float(row["under_mm"]), row))
    both = "both" in row["id"] or row["kind"] == "ground"
    coats.append(_coat("front", "top", float(row["coat_mm"]), row))
    laid = [len(coats) - 1] + ([0] if both and float(row["back_mm"]) else [])
    kind = row["kind"]
    jars = [_jar("top", kind, row)]
    if float(row["back_mm"]):
        jars.append(_jar("counter", "ground" if kind == "ground" else "counter", row))
    if float(row["under_mm"]):
        jars.append(_jar("under", "opaque" if kind == "opaque" else "flux", row))
    data = {
        "format": 1,
        "name": row["id"],
        "metal": {"kind": row["metal"], "thickness_mm": float(row["sheet_mm"])},
        "outline": {"shape": "circle", "diameter_mm": float(row["across_mm"])},
        "dome_mm": float(row["dome_mm"]),
        "jars": jars,
        "coats": coats,
    }
    return data, {"laid": tuple(sorted(laid)), "both": both}


def window_at(row: Row, bench: Bench = UNKNOWN_KILN) -> Window:
    """Return the model's window for one row, at the middle of its set points."""
    data, special = piece_of(row)
    point = (float(row["set_low"]) + float(row["set_high"])) / 2
    data["firing"] = {"set": f"{point} {row['unit']}"}
    layup = lay_up(Piece.from_outside(data), bench)
    number = len(layup.layers) - 1
    flash = row["flash"] == "yes"
    fuses = () if flash else special["laid"]
    firing = Firing(
        number=1,
        fuses=fuses,
        lays=fuses,
        reheats=tuple(n for n in range(number + 1) if n not in fuses),
        loaded="none" if flash else "both" if special["both"] else "front",
        face_up="front",
        support=row["metal_support"],  # type: ignore[arg-type]
        rests_on="rim",
        target=row["target"],  # type: ignore[arg-type]
        flash=flash,
    )
    return windows_for((firing,), layup, bench, weigh(layup, bench))[0]


@cache
def settings(bench: Bench = UNKNOWN_KILN) -> tuple[Setting, ...]:
    """Every row with its window."""
    found = []
    for row in rows("trade/published_settings"):
        middle = (float(row["set_low"]) + float(row["set_high"])) / 2
        found.append(
            Setting(
                id=row["id"],
                set_point=units.to_si(middle, row["unit"], "temperature"),
                seconds=(float(row["seconds_low"]), float(row["seconds_high"])),
                verdict=row["verdict"],
                use=row["use"],
                note=row["note"],
                status=row["status"],
                window=window_at(row, bench),
            )
        )
    return tuple(found)
