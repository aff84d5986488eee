"""The door for what devices at the bench tell: each entry once, however often it is sent."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import JSONResponse

from enamelwright.web.api import TROUBLES
from enamelwright.web.sharing import THIS_MACHINE
from enamelwright.web.visit import studio_of
from enamelwright.workshop import entries

router = APIRouter(prefix="/api/v1", tags=["entries"], responses=TROUBLES)


class Entry(BaseModel):
    """One entry as a device sends it."""

    model_config = ConfigDict(extra="forbid")

    entry: str = Field(min_length=entries.SHORTEST, max_length=entries.LONGEST, pattern=r"^[A-Za-z0-9-]+$")
    device: str = Field("", max_length=60, description="what the device is called")
    device_at: str = Field("", max_length=40, description="the device's clock when it happened, ISO 8601")
    sent_at: str = Field("", max_length=40, description="the device's clock when it was sent, ISO 8601")
    kind: str = Field(max_length=40, description=", ".join(entries.KINDS))
    body: dict[str, Any]


def device_of(request: Request, told: str = "") -> str:
    """Return what a device is called: as it says, else where it speaks from."""
    if told.strip():
        return told.strip()
    client = request.client.host if request.client is not None else ""
    return "this machine" if client in THIS_MACHINE else f"device at {client}"


@router.post("/entries")
def take(request: Request, told: Entry) -> JSONResponse:
    """Do what an entry tells; sent again, it answers the same and changes nothing."""
    done = entries.take(
        studio_of(request), told.entry, told.kind, told.body, device=device_of(request, told.device),
        device_at=told.device_at, sent_at=told.sent_at,
    )  # fmt: skip
    return JSONResponse({"entry": told.entry, **done})
