"""What a notebook may say of a firing, and the words its columns and cells are known by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Sort = Literal["day", "text", "whole", "quantity", "stage"]

#: Stages of a firing as the record names them, and what notebooks write for them (common practice, no source).
STAGES: dict[str, tuple[str, ...]] = {
    "powder": ("powder", "unfused", "raw"),
    "sugar": ("sugar", "sugary", "sugar stage", "granular", "grainy"),
    "orange peel": ("orange peel", "orange-peel", "orangepeel", "wavy", "op"),
    "gloss": ("gloss", "glossy", "full fuse", "full fire", "smooth", "mature"),
    "cleared": ("cleared", "clear", "bright", "fully cleared"),
    "over-fired": ("over-fired", "overfired", "over fired", "over", "too long", "burnt", "burned"),
}


#: The first three letters of a month, in English and, where they differ, German and French without accents.
MONTHS: dict[str, int] = {
    "jan": 1, "feb": 2, "fev": 2, "mar": 3, "mrz": 3, "apr": 4, "avr": 4, "may": 5, "mai": 5, "jun": 6, "jul": 7,
    "aug": 8, "aou": 8, "sep": 9, "oct": 10, "okt": 10, "nov": 11, "dec": 12, "dez": 12,
}  # fmt: skip


@dataclass(frozen=True)
class Field:
    """One thing a notebook may say of a firing.

    Attributes
    ----------
    sort : str
        How its cells are read.
    dimension : str
        Of a quantity.
    names : tuple of str
        Headings it goes by, without accents, in small letters.
    """

    sort: Sort
    names: tuple[str, ...]
    dimension: str = ""


#: What may be said once for all rows that do not say it themselves.
FOR_ALL = ("metal", "thickness", "diameter", "kiln", "set_point")
#: What can be read, by the name of our own record. The headings are common practice, no source.
FIELDS: dict[str, Field] = {
    "date": Field("day", ("date", "day", "fired on", "when", "datum", "tag", "fecha", "data")),
    "piece": Field("text", ("piece", "number", "no", "nr", "item", "piece no", "tile", "stuck", "pieza", "work", "id")),
    "design": Field("text", ("design", "pattern", "model", "entwurf", "motif", "diseno", "title")),
    "metal": Field("text", ("metal", "base", "metall", "support metal")),
    "thickness": Field(
        "quantity", ("thickness", "metal thickness", "gauge", "dicke", "starke", "epaisseur", "espesor"), "length"
    ),
    "diameter": Field(
        "quantity",
        ("diameter", "dia", "diam", "across", "durchmesser", "diametre", "diametro", "size", "disc", "disc size"),
        "length",
    ),
    "kiln": Field("text", ("kiln", "furnace", "oven", "ofen", "four", "horno", "forno")),
    "set_point": Field(
        "quantity",
        ("set", "set point", "setpoint", "temp", "temperature", "set temp", "set temperature", "firing temp",
         "firing temperature", "temperatur", "brenntemperatur", "temperatura", "degrees", "heat"),
        "temperature",
    ),
    "shown_at_load": Field(
        "quantity", ("shown", "display", "read", "reading", "shown at load", "actual", "actual temp", "pyrometer"),
        "temperature",
    ),
    "seconds": Field(
        "quantity",
        ("seconds", "secs", "sec", "time", "firing time", "duration", "minutes", "mins", "in kiln", "zeit",
         "dauer", "brennzeit", "temps", "duree", "tiempo", "tempo", "how long"),
        "time",
    ),
    "to_gloss": Field("quantity", ("to gloss", "time to gloss", "gloss after", "first gloss", "gloss at"), "time"),
    "stage_seen": Field("stage", ("stage", "stage seen", "fired to", "surface", "look", "finish", "stufe")),
    "jar": Field("text", ("jar", "enamel", "colour", "color", "enamel no", "colour no", "farbe", "email", "couleur",
                          "esmalte", "smalto", "frit")),
    "lot": Field("text", ("lot", "batch no", "lot no", "charge")),
    "mesh": Field("whole", ("mesh", "sieve", "grit", "grain size")),
    "weighed_before": Field(
        "quantity", ("weight before", "before", "grams before", "weighed before", "mass before"), "mass"
    ),
    "weighed_after": Field("quantity", ("weight after", "after", "grams after", "weighed after", "mass after"), "mass"),
    "support": Field("text", ("support", "trivet", "stilt", "stand", "rack", "mesh support", "unterlage")),
    "fault": Field("text", ("fault", "problem", "defect", "trouble", "fehler", "defaut", "what went wrong")),
    "bow": Field("quantity", ("bow", "warp", "curve", "bowed"), "length"),
    "words": Field("text", ("words", "note", "notes", "remark", "remarks", "comment", "comments", "result", "results",
                            "bemerkung", "notiz", "remarque", "notas", "observations")),
}  # fmt: skip
