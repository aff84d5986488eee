"""What one device chose for itself: the scale temperatures are shown on and the light, kept by the device itself."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from enamelwright.web.posting import show_page
from enamelwright.web.render import light_of
from enamelwright.web.viewer import SCALES, scale

router = APIRouter(include_in_schema=False)

#: What each choice is called; the empty one leaves it open.
DEGREES = {"": "Both scales", **SCALES}
LIGHTS = {"": "As the device", "lamp": "Lamp", "daylight": "Daylight"}


@router.get("/set-up/device")
def device(request: Request) -> HTMLResponse:
    """Show what this device chose for itself."""
    return show_page(request, "set_device.html", scales=DEGREES, lights=LIGHTS, chosen=scale())


def device_words(request: Request) -> str:
    """Say what this device chose."""
    return f"{DEGREES[scale()]}, light: {LIGHTS[light_of(request)].lower()}"
