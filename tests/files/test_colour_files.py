"""Colours an instrument measured: CSV and CGATS text, decimal commas, missing bands, cut-off files."""

from __future__ import annotations

import random

import numpy as np
import pytest

from enamelwright.files.cgats import is_cgats, read_cgats
from enamelwright.files.colour_csv import Told, read_colour_csv
from enamelwright.files.errors import FileError

TOLD = Told("D50", "2", "45/0")
NM = range(380, 731, 10)


def spectral(
    step: int = 10, first: int = 380, last: int = 730, head: str = "{}", comma: bool = False, scale: float = 1
) -> str:
    """A table of two spectra that rise with wavelength."""
    bands = list(range(first, last + 1, step))
    sign = ";" if comma else ","
    lines = [sign.join(["name", *(head.format(nm) for nm in bands)])]
    for name, high in (("TL-01", 0.5), ("TL-02/2", 0.9)):
        values = [f"{scale * high * (nm - 300) / 500:.4f}" for nm in bands]
        lines.append(sign.join([name, *(v.replace(".", ",") if comma else v for v in values)]))
    return "\n".join(lines)


@pytest.mark.parametrize("head", ["{}", "nm{}", "{} nm", "R_{}nm", "SPECTRAL_NM{}", "spectral_{}"])
@pytest.mark.parametrize("comma", [False, True])
@pytest.mark.parametrize("scale", [1, 100])
def test_a_spectrum_however_it_is_written(head: str, comma: bool, scale: float) -> None:
    found = read_colour_csv(spectral(head=head, comma=comma, scale=scale).encode(), "a.csv", TOLD)
    assert [one.name for one in found] == ["TL-01", "TL-02/2"]
    wanted = [0.9 * (nm - 300) / 500 for nm in NM]
    np.testing.assert_allclose(found[1].reflectance, wanted, atol=1e-4)
    assert found[1].lab is None
    assert found[1].taken == "lamps at 45 degrees"


@pytest.mark.parametrize("step", [5, 10, 20])
def test_other_steps_fall_on_the_same_line(step: int) -> None:
    found = read_colour_csv(spectral(step=step, first=400, last=700).encode(), "a.csv", TOLD)
    inner = [nm for nm in NM if 400 <= nm <= 700]
    got = dict(zip(NM, found[0].reflectance or (), strict=True))
    np.testing.assert_allclose([got[nm] for nm in inner], [0.5 * (nm - 300) / 500 for nm in inner], atol=1e-4)
    assert got[380] == got[390] == pytest.approx(got[400])  # held level beyond
    assert "held level" in found[0].words[0]


def test_a_missing_band_is_named() -> None:
    lines = [line.split(",") for line in spectral().splitlines()]
    gap = "\n".join(",".join(cells[:9] + cells[10:]) for cells in lines)
    with pytest.raises(FileError, match="between 450 and 470 nm are missing"):
        read_colour_csv(gap.encode(), "a.csv", TOLD)
    with pytest.raises(FileError, match="from 430 to 730 nm"):
        read_colour_csv(spectral(first=430).encode(), "a.csv", TOLD)
    with pytest.raises(FileError, match="missing"):
        read_colour_csv(spectral(step=25, first=400, last=700).encode(), "a.csv", TOLD)


def test_l_a_b_with_all_that_makes_it_a_colour() -> None:
    text = "tile;L*;a*;b*;illuminant;observer;geometry\nTL-01;51,2;-3,4;12,0;D50;2°;SCI\n"
    (one,) = read_colour_csv(text.encode(), "a.csv")
    assert one.lab == (51.2, -3.4, 12.0)
    assert (one.light, one.observer, one.taken) == ("D50", "2", "sphere with gloss")


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (Told(), "without light and observer and geometry"),
        (Told("D50", "2", ""), "without geometry"),
        (Told("D50", "", "45/0"), "without observer"),
        (Told("C", "2", "45/0"), "light 'C' is not known"),
        (Told("D50", "5", "45/0"), "observer '5'"),
        (Told("D50", "2", "upside"), "geometry 'upside'"),
    ],
)
def test_l_a_b_alone_means_nothing(told: Told, words: str) -> None:
    with pytest.raises(FileError, match=words) as caught:
        read_colour_csv(b"name,L,a,b\nTL-01,50,1,2\n", "a.csv", told)
    assert "line 2" in str(caught.value)
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name,colour\nTL-01,blue\n", "neither columns"),
        ("name,L,a,b\nTL-01,50,1,\n", "a number is missing"),
        ("name,L,a,b\nTL-01,50,x,2\n", "'x' is no number"),
        ("name,L,a,b\nTL-01,500,1,2\n", "no L"),
        ("name,L,a,b\nTL-01,nan,1,2\n", "no ordinary number"),
        ("name,L,a,b\n", "holds no colours"),
        (spectral().replace("0.5", "-9.5", 1), "below 0"),
        ("", "no table"),
    ],
)
def test_damaged_tables_are_refused(text: str, words: str) -> None:
    with pytest.raises(FileError, match=words) as caught:
        read_colour_csv(text.encode(), "a.csv", TOLD)
    assert "a.csv" in str(caught.value)


CGATS = """CGATS.17
ORIGINATOR "an instrument"
MEASUREMENT_GEOMETRY "45/0"
WEIGHTING_FUNCTION "ILLUMINANT, D50"
WEIGHTING_FUNCTION "OBSERVER, 2 degree"
NUMBER_OF_FIELDS 5
BEGIN_DATA_FORMAT
SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B
END_DATA_FORMAT
NUMBER_OF_SETS 2
BEGIN_DATA
1 "TL-01"\t51.20\t-3.40\t12.00
2 "TL-02/2"\t20.00\t1.00\t-30.00
END_DATA
"""


def _cgats(tabs: bool = False) -> str:
    lines = CGATS.replace("\t", " ").splitlines()
    return "\n".join(line.replace(" ", "\t") if tabs and line[:1] in "12S" else line for line in lines)


@pytest.mark.parametrize("tabs", [False, True])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("comma", [False, True])
def test_cgats_text(tabs: bool, end: str, comma: bool) -> None:
    text = _cgats(tabs)
    if comma:
        text = "\n".join(line.replace(".", ",") if line[:1] in "12" else line for line in text.splitlines())
    data = text.replace("\n", end).encode()
    assert is_cgats(data)
    one, two = read_cgats(data, "a.txt")
    assert (one.name, two.name) == ("TL-01", "TL-02/2")
    assert one.lab == (51.2, -3.4, 12.0)
    assert two.lab == (20.0, 1.0, -30.0)
    assert (one.light, one.observer, one.taken) == ("D50", "2", "lamps at 45 degrees")


def test_cgats_with_a_spectrum_in_the_second_table() -> None:
    bands = " ".join(f"nm{nm}" for nm in NM)
    values = " ".join("0.5" for _ in NM)
    text = (
        "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID CMYK_C\nEND_DATA_FORMAT\nBEGIN_DATA\n1 20\nEND_DATA\n"
        f"BEGIN_DATA_FORMAT\nSAMPLE_NAME {bands}\nEND_DATA_FORMAT\nBEGIN_DATA\nTL-7 {values}\nEND_DATA\n"
    )
    (one,) = read_cgats(text.encode(), "a.txt", Told(taken="sce"))
    assert one.reflectance == (0.5,) * 36
    assert one.taken == "sphere without gloss"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (CGATS.partition('2 "TL')[0], "ends inside its readings"),
        (CGATS.replace("NUMBER_OF_SETS 2", "NUMBER_OF_SETS 3"), "says it has 3"),
        (CGATS.replace("LAB_L", "X"), "no L"),
        (CGATS.replace("\t12.00", ""), "under 5 columns"),
        (CGATS.replace("END_DATA_FORMAT\n", ""), "inside another part"),
        ("BEGIN_DATA_FORMAT\n", "ends inside its columns"),
        (CGATS.replace('"45/0"', '"other"'), "without geometry"),
    ],
)
def test_damaged_cgats_is_refused(text: str, words: str) -> None:
    with pytest.raises(FileError, match=words) as caught:
        read_cgats(text.encode(), "a.txt")
    assert "a.txt" in str(caught.value)


def test_bytes_that_mean_nothing_never_bring_it_down() -> None:
    rng = random.Random(3)
    said: set[str] = set()
    for _ in range(150):
        data = bytearray(CGATS.encode())
        for _ in range(rng.randrange(1, 20)):
            data[rng.randrange(len(data))] = rng.randrange(256)
        for read in (read_cgats, read_colour_csv):
            try:
                read(bytes(data), "a.txt", TOLD)
            except FileError as error:
                said.add(str(error))
    assert said
    assert not any("\n" in words for words in said)
