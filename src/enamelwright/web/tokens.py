"""The colours of the three lights as style rules, so that page, picture and card share one table."""

from __future__ import annotations

from enamelwright.pictures.lights import LIGHTS, Light


def _rules(light: Light) -> str:
    t = LIGHTS[light]
    pairs = {
        "ground": t.ground,
        "panel": t.panel,
        "text": t.text,
        "quiet": t.quiet,
        "rule": t.rule,
        "action": t.action,
    }
    pairs.update({str(level): colour for level, colour in t.level.items()})
    return "".join(f"--{name}:{colour};" for name, colour in pairs.items())


def style() -> str:
    """Return the style rules of the three lights: by the device's own wish, by choice, and on paper."""
    scheme = {"lamp": "dark", "daylight": "light"}
    chosen = "".join(
        f':root[data-light="{light}"]{{color-scheme:{scheme[light]};{_rules(light)}}}' for light in ("lamp", "daylight")
    )
    return (
        f":root{{color-scheme:light;{_rules('daylight')}}}"
        f"@media (prefers-color-scheme: dark){{:root:not([data-light]){{color-scheme:dark;{_rules('lamp')}}}}}"
        f"{chosen}"
        f"@media print{{:root:not([data-light]),:root[data-light]{{color-scheme:light;{_rules('paper')}}}}}"
    )
