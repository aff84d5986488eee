"""Other devices: the code that pairs one, which are paired, and turning one away."""

from __future__ import annotations

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.cards.qr import qr_svg
from enamelwright.errors import InputError
from enamelwright.records.schema.house import device as device_table
from enamelwright.web.conflicts import same_version
from enamelwright.web.posting import Form, address, once, show_page
from enamelwright.web.sharing import LASTS, Sharing, on_this_machine
from enamelwright.web.visit import studio_of
from enamelwright.workshop.devices import LONGEST_NAME, change_device, devices

router = APIRouter(include_in_schema=False)

_MINUTE = 60


@router.get("/set-up/sharing")
def sharing(request: Request) -> HTMLResponse:
    """Show the pairing code to whoever stands at the bench machine, and the list of devices to all."""
    shared = sharing_of(request)
    here = on_this_machine(request)
    code, doors = "", []
    if shared.shared and here:
        code = shared.code()
        doors = [(door, Markup(qr_svg(f"{door}?code={code}"))) for door in shared.addresses_to_open()]
    return show_page(
        request, "set_sharing.html", shared=shared.shared, at_machine=here, gives=shared.gives, code=code, doors=doors,
        devices=devices(studio_of(request)), minutes=int(LASTS) // _MINUTE, longest=LONGEST_NAME,
    )  # fmt: skip


@router.post("/set-up/sharing")
def change(request: Request, form: Form) -> RedirectResponse:
    """Choose what the next code gives; rename a device, change what it may do, or turn it away."""
    if not on_this_machine(request):
        raise InputError("who may speak to the studio is decided on the bench machine only.", "Do it there.")
    studio, shared = studio_of(request), sharing_of(request)
    if form.text("gives") in {"write", "read"}:
        shared.give(form.text("gives"))
        return RedirectResponse("/set-up/sharing", 303)

    def work() -> str:
        row, do = form.whole("device"), form.text("do")
        same_version(studio, device_table, row, form.version(), **_wanted(do, form.text("label")))
        if do == "away":
            version = change_device(studio, row, revoked=True)
        elif do in {"write", "read"}:
            version = change_device(studio, row, may=do)
        elif do == "name":
            version = change_device(studio, row, label=form.text("label"))
        else:
            raise InputError("this cannot be done with a device.", "Open the page again.")
        return address("/set-up/sharing", "device-away" if do == "away" else "device", [("device", row, version)])

    answer = once(request, form, work)
    shared.forget()
    return answer


def sharing_of(request: Request) -> Sharing:
    """Return who else may speak to the app."""
    found: Sharing = request.app.state.sharing
    return found


def _wanted(do: str, label: str) -> dict[str, object]:
    """Return what one tap wants a device to be, as the record names it."""
    if do == "away":
        return {"revoked": True}
    return {"label": label} if do == "name" else {"may": do}
