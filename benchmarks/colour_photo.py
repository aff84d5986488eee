"""Colours from photographs of tiles: how far off for stacks nobody has fired, in four kinds of light, and how fast.

    .venv/bin/python benchmarks/colour_photo.py [makers | speed]

Invented makers go the whole path, each with a seed of its own: jars, sheets of metal and finish; tiles
rendered by another model than the product's; a camera of published sensitivities beside a card; the fit; stacks that
no tile shows. Judged by colour-science [CIEDE2000], beside what the nearest tile alone would say. The result goes to
colour_photo.json. Speed: a photo of twelve million pixels, from file to corrected picture.
"""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "tests")]

import colour_study as study  # noqa: E402
import simulated_camera as camera  # noqa: E402
from yardstick import median, yardstick  # noqa: E402

from enamelwright.craft.colour.photo_colours import colours_of  # noqa: E402
from enamelwright.craft.colour.tile_photo import Card  # noqa: E402
from enamelwright.files.tile_photo import Spot, corrected, read_picture, read_tile_photo  # noqa: E402

#: Makers when nobody says how many, and the mean difference of unseen stacks wanted by daylight with a card.
MAKERS, WANTED = 16, 1.5


def condition(name: study.Condition, makers: int) -> dict[str, Any]:
    """Errors of one kind of light over many makers."""
    outcomes = [study.maker(seed, name) for seed in range(makers)]
    unseen = np.array([one.unseen for one in outcomes])
    alone = np.array([one.unseen_nearest for one in outcomes])
    reading = np.array([one.reading for one in outcomes])
    sure = np.array([one.sure for one in outcomes])
    means = unseen.mean(axis=1)
    return {
        "makers": makers,
        "tiles": reading.shape[1],
        "unseen stacks": unseen.shape[1],
        "photo error, mean": round(float(reading.mean()), 2),
        "photo error, worst": round(float(reading.max()), 2),
        "unseen, mean": round(float(unseen.mean()), 2),
        "unseen, mean of the best and worst maker": [round(float(means.min()), 2), round(float(means.max()), 2)],
        "unseen, 95 in 100 below": round(float(np.quantile(unseen, 0.95)), 2),
        "unseen, worst": round(float(unseen.max()), 2),
        "nearest tile alone, mean": round(float(alone.mean()), 2),
        "nearest tile alone, worst": round(float(alone.max()), 2),
        "the fit was nearer than the nearest tile": f"{float(np.mean(unseen < alone)):.0%}",
        "told, root mean square": round(float(np.sqrt(np.mean(sure**2))), 2),
        "found, root mean square": round(float(np.sqrt(np.mean(unseen**2))), 2),
        "fits said not to be used": sum(one.fit.level == "stop" for one in outcomes),
        "by stack": {
            words: round(float(unseen[:, n::5].mean()), 2)
            for n, words in enumerate(("silver thin", "silver thick", "gold", "copper", "white"))
        },
        "by jar": {jar: round(float(unseen[:, 5 * n : 5 * n + 5].mean()), 2) for n, jar in enumerate(study.COLOURS)},
    }


def speed() -> dict[str, str]:
    """From the file of a photo of twelve million pixels to its colours and to a corrected picture."""
    lamp = camera.light("D55")
    rng = np.random.default_rng(0)
    tiles = camera.raw(camera.card()[:6], lamp)
    small = camera.developed(camera.scene(camera.raw(camera.card(), lamp), tiles, rng), camera.screen_matrix(lamp))
    big = Image.fromarray(np.round(small * 255).astype(np.uint8)).resize((4000, 3000))
    out = io.BytesIO()
    big.save(out, "JPEG", quality=93)
    data = out.getvalue()
    across, down = 4000 / camera.WIDTH, 3000 / camera.HEIGHT
    corners = [(float(x * across), float(y * down)) for x, y in camera.CORNERS]
    spots = [Spot(f"t{n}", x * across, y * down, 60.0) for n, (x, y, _) in enumerate(camera.places(6))]

    def whole() -> None:
        picture = read_picture(data)
        corrected(picture, colours_of(read_tile_photo(picture, Card(), corners, spots)))

    def colours_only() -> None:
        colours_of(read_tile_photo(read_picture(data), Card(), corners, spots))

    return {
        "yardstick": f"{yardstick() * 1e3:.1f} ms",
        "12 million pixels, file to colours": f"{median(colours_only):.2f} s",
        "12 million pixels, file to corrected picture": f"{median(whole):.2f} s",
    }


def main() -> None:
    """Run and write what came out."""
    told = sys.argv[1] if len(sys.argv) > 1 else str(MAKERS)
    file = HERE / "colour_photo.json"
    if told == "speed":
        result: dict[str, Any] = json.loads(file.read_text(encoding="utf-8")) | {"speed": speed()}
        print(json.dumps(result["speed"], indent=1))
        file.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
        return
    makers = int(told)
    result = {"made by": "benchmarks/colour_photo.py", "unit": "CIEDE2000", "conditions": {}}
    for name in study.CONDITIONS:
        result["conditions"][name] = condition(name, makers)
        print(name, json.dumps(result["conditions"][name], indent=1), flush=True)
    result["speed"] = speed()
    print(json.dumps(result["speed"], indent=1))
    file.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    mean = result["conditions"]["daylight and card"]["unseen, mean"]
    print(f"daylight and card: {mean} (wanted: {WANTED} or less)")


if __name__ == "__main__":
    main()
