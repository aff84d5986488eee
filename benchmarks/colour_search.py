"""Speed of the search through every three-coat stack, beside vectorised colour-science on the same reflectances.

    .venv/bin/python benchmarks/colour_search.py

Twenty-four invented jars at five thicknesses, up to three coats over four metals: 6.9 million stacks of three coats.
One core: the number of threads of the linear algebra is set to one before anything is loaded. The rival gets the
reflectances for nothing and only turns them into colours and differences. Medians of wall-clock and processor time;
what is compared is processor time, since others may use the machine.
"""

from __future__ import annotations

import os

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import statistics  # noqa: E402
import time  # noqa: E402
from collections.abc import Callable  # noqa: E402

import colour  # noqa: E402
import numpy as np  # noqa: E402
from yardstick import yardstick  # noqa: E402

from enamelwright.craft.colour.jar_optics import archetypes, of_archetype  # noqa: E402
from enamelwright.craft.colour.light import seen_under  # noqa: E402
from enamelwright.craft.colour.metal_optics import base_of  # noqa: E402
from enamelwright.physics.colour.colour_difference import ciede2000  # noqa: E402
from enamelwright.physics.colour.colour_search import Grounds, Leaves, _lab_into, every_stack  # noqa: E402
from enamelwright.physics.colour.colour_shortlist import Stacks  # noqa: E402
from enamelwright.physics.colour.stack_optics import stack_reflectance  # noqa: E402

METALS = ("copper", "fine silver", "fine gold", "gilding_metal_c22000")
DEPTHS = (0.06e-3, 0.1e-3, 0.16e-3, 0.25e-3, 0.4e-3)
JARS, REPEATS = 24, 3
#: Stacks ranked at once when looking for the very best by CIEDE2000.
SAMPLE = 200_000
TARGETS = ((40.0, -20.0, -20.0), (62.0, 30.0, 45.0), (30.0, 15.0, -45.0), (75.0, -5.0, 20.0), (25.0, 35.0, 10.0))
DAY = seen_under("D65")
DAY_XY = colour.XYZ_to_xy(DAY.white / 100)
BANDS = colour.SpectralShape(380, 730, 10)
EYE = "CIE 1931 2 Degree Standard Observer"
Shelf = tuple[np.ndarray, np.ndarray, np.ndarray, Leaves, Grounds]


def row(name: str, value: str, target: str = "") -> None:
    """One line of the table."""
    print(f"{name:<66}{value:>24}   {target}")


def timed(job: Callable[[], object], repeats: int = REPEATS) -> tuple[float, float]:
    """Median (wall-clock, processor) seconds of a job after one untimed run."""
    job()
    walls, busy = [], []
    for _ in range(repeats):
        wall, cpu = time.perf_counter(), time.process_time()
        job()
        walls.append(time.perf_counter() - wall)
        busy.append(time.process_time() - cpu)
    return statistics.median(walls), statistics.median(busy)


def shelf() -> Shelf:
    """The jars, the first of them again a little stronger where there are too few, with the metals under them."""
    names = sorted(archetypes())
    found = [of_archetype(names[n % len(names)]) for n in range(JARS)]
    strength = [1.0 if n < len(names) else 1.7 for n in range(JARS)]
    k = np.repeat([one.absorption * by for one, by in zip(found, strength, strict=True)], len(DEPTHS), axis=0)
    s = np.repeat([one.scattering_at_bands for one in found], len(DEPTHS), axis=0)
    d = np.tile(DEPTHS, JARS)
    index = found[0].index
    bases = [base_of(metal, index) for metal in METALS]
    normal, around = (
        np.repeat(np.array([getattr(one, part) for one in bases])[:, None], len(d), axis=1)
        for part in ("normal", "hemispherical")
    )
    return k, s, d, Leaves.of(k, s, d, np.full(len(d), index)), Grounds(normal, around)


def slow_lab(shelf_parts: Shelf, metal: int, leaves: tuple[int, ...], h: float) -> np.ndarray:
    """One stack by the plain way, in double precision."""
    k, s, d, these, grounds = shelf_parts
    layers = [(k[n], s[n], d[n]) for n in leaves]
    first = leaves[0]
    normal, around = grounds.normal[metal, first], grounds.hemispherical[metal, first]
    return DAY.lab(stack_reflectance(layers, normal, around, these.index[leaves[-1]], h, 1.0))


def two_coats(parts: Shelf) -> np.ndarray:
    """Reflectances of every stack of two coats by the plain way: metal, lower leaf, upper leaf in this order."""
    k, s, d, these, grounds = parts
    many = len(d)
    found = []
    for metal in range(len(METALS)):
        for low in range(many):
            layers = [(k[low], s[low], d[low]), (k, s, d)]
            normal, around = grounds.normal[metal, low], grounds.hemispherical[metal, low]
            found.append(stack_reflectance(layers, normal, around, these.index, 0.7, 1.0))
    return np.concatenate(found)


def divmod_parts(at: int, many: int) -> tuple[int, tuple[int, ...]]:
    """Which stack of :func:`two_coats` a row is."""
    rest, high = divmod(at, many)
    metal, low = divmod(rest, many)
    return metal, (low, high)


def main() -> None:
    """Print the whole table."""
    parts = shelf()
    _, _, _, leaves, grounds = parts
    row("load of the machine in the last minute", f"{os.getloadavg()[0]:.1f}")
    row("yardstick: 5 x (running sum, root) of 1e6 numbers", f"{yardstick() * 1e3:.2f} ms")
    threes = len(METALS) * len(leaves) ** 3
    row("stacks of three coats, and all of one to three", f"{threes:,}")
    rates = {}
    for h, words in ((1.0, "diffuse light alone (satin metal)"), (0.7, "both paths (finish 0.7)")):
        wall, cpu = timed(lambda h=h: every_stack(leaves, grounds, DAY.weights, h=h))
        rates[h] = cpu / threes
        row(f"every stack, {words}", f"{wall:.2f} s, busy {cpu:.2f} s", "<= 2 s")
        row("  stacks a second of processor time", f"{threes / cpu / 1e6:.1f} million", ">= 3 million")
    found = every_stack(leaves, grounds, DAY.weights, h=0.7)
    wall, cpu = timed(lambda: found.best(TARGETS[0]))
    row("one target, looking at all of them", f"{wall * 1e3:.0f} ms, busy {cpu * 1e3:.0f} ms")
    begun = time.process_time()
    found.indexed()
    row("index of colours, built once", f"busy {time.process_time() - begun:.2f} s")
    wall, cpu = timed(lambda: [found.nearest(target) for target in TARGETS])
    row("another target from the index", f"{wall / len(TARGETS) * 1e3:.2f} ms", "<= 50 ms")

    # The rival starts from the same layers by the plain way in double precision, and again from reflectances it is
    # given for nothing; ours always starts from the layers. Taken turn about, the least of each.
    layers = two_coats(parts)
    light = [one.copy().align(BANDS) for one in (colour.MSDS_CMFS[EYE], colour.SDS_ILLUMINANTS["D65"])]
    aim = np.array(TARGETS[0])
    best: dict[str, int] = {}

    def rival() -> None:
        xyz = colour.msds_to_XYZ(layers, *light, method="Integration", shape=BANDS)
        lab = colour.XYZ_to_Lab(xyz / 100, DAY_XY)
        best["rival"] = int(colour.difference.delta_E_CIE2000(np.broadcast_to(aim, lab.shape), lab).argmin())

    def half_rival() -> None:
        lab = colour.XYZ_to_Lab(layers @ DAY.weights / 100, DAY_XY)
        best["half rival"] = int(colour.difference.delta_E_CIE2000(np.broadcast_to(aim, lab.shape), lab).argmin())

    given = np.ascontiguousarray(layers.T, np.float32)
    share = np.ascontiguousarray((DAY.weights / DAY.white).T, np.float32)
    room, code = np.empty((3, given.shape[1]), np.float32).T, np.arange(given.shape[1], dtype=np.uint32)

    def ours_given() -> None:
        _lab_into(share @ given, room)
        best["ours"] = int(Stacks(room, code, 1).best(aim)[0])

    jobs: dict[str, tuple[Callable[[], object], int]] = {
        "plain": (lambda: two_coats(parts), len(layers)),
        "rival": (rival, len(layers)),
        "half rival": (half_rival, len(layers)),
        "ours given": (ours_given, len(layers)),
        "both": (lambda: every_stack(leaves, grounds, DAY.weights, h=0.7), len(found)),
        "diffuse": (lambda: every_stack(leaves, grounds, DAY.weights, h=1.0), len(found)),
        "ranked": (lambda: found.best(aim), len(found)),
    }
    each = dict.fromkeys(jobs, np.inf)
    for _ in range(REPEATS):
        for name, (job, many) in jobs.items():
            begun = time.process_time()
            job()
            each[name] = min(each[name], (time.process_time() - begun) / many)
    row("reflectances by the plain way, two coats", f"busy {each['plain'] * 1e9:.0f} ns a stack")
    row("colour-science from those: XYZ, Lab, CIEDE2000, least", f"busy {each['rival'] * 1e9:.0f} ns a stack")
    row("  with XYZ by a plain product of ours", f"busy {each['half rival'] * 1e9:.0f} ns a stack")
    row("ours from those same reflectances to the 200 best", f"busy {each['ours given'] * 1e9:.0f} ns a stack")
    row("  ratio on the same reflectances", f"{each['rival'] / each['ours given']:.1f} x", ">= 5 x")
    row("  best of them by the rival and by ours", f"{best['rival']} and {best['ours']}", "the same")
    for name, words in (("both", "both paths"), ("diffuse", "diffuse light alone")):
        mine = each[name] + each["ranked"]
        row(f"ours, {words}, from the layers to the 200 best", f"busy {mine * 1e9:.0f} ns a stack")
        row("  ratio to both steps of the plain way", f"{(each['plain'] + each['rival']) / mine:.1f} x")
        row("  ratio to colour-science with reflectances given", f"{each['rival'] / mine:.1f} x")
    twos = every_stack(leaves, grounds, DAY.weights, h=0.7, coats=2)
    kept = [n for n in range(len(twos)) if len(twos.parts(n)[1]) == 2]
    order = {twos.parts(n): n for n in kept}
    theirs = order[divmod_parts(best["half rival"], len(leaves))]
    off = [
        float(ciede2000(aim, twos.lab[n]))
        for n in (theirs, min(kept, key=lambda n: float(ciede2000(aim, twos.lab[n]))))
    ]
    row("best two-coat stack, by the rival and by ours", f"{off[0]:.4f} and {off[1]:.4f}", "the same")

    worst = losses = 0.0
    for target in TARGETS:
        first = found.best(target)[0]
        metal, stack = found.parts(int(first))
        plain = slow_lab(parts, metal, stack, 0.7)
        worst = max(worst, float(np.abs(plain - found.lab[first]).max()))
        away = min(float(ciede2000(target, found.lab[at : at + SAMPLE]).min()) for at in range(0, len(found), SAMPLE))
        losses = max(losses, float(ciede2000(target, plain)) - away)
        close = float(ciede2000(target, found.lab[found.nearest(target)[0]]))
        losses = max(losses, close - away)
    row("best stacks, fast against plain way, largest difference of Lab", f"{worst:.1e}")
    row("loss of the short lists against CIEDE2000 of all, five targets", f"{losses:.3f}", "< 0.25")
    row("yardstick again", f"{yardstick() * 1e3:.2f} ms")


if __name__ == "__main__":
    main()
