"""Sharing on the local network: off until asked for, then by a code shown on this machine."""

from __future__ import annotations

import contextlib
import hmac
import logging
import secrets
import socket
import struct
import time
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TYPE_CHECKING
from urllib.parse import urlunsplit

from fastapi import APIRouter, Form, Request
from starlette.responses import RedirectResponse, Response

from enamelwright.errors import InputError
from enamelwright.web.guard import COOKIE, LOOPBACK, READING
from enamelwright.workshop import devices

if TYPE_CHECKING:
    from enamelwright.workshop.studio import Studio

#: Where this machine speaks from; the test client of the web framework has no address.
THIS_MACHINE = frozenset({"127.0.0.1", "::1", "testclient"})
#: Digits of a pairing code, how long one lasts [s], and how many wrong ones end it.
DIGITS, LASTS, TRIES = 6, 600.0, 5
#: How long the right of a device is gone by without looking it up again, and how often it is noted as seen [s].
REMEMBERED, NOTED = 3.0, 60.0

#: How a Linux kernel is asked for the IPv4 address of one network card: the number of the question, the length of
#: the longest name of a card, and where in the answer the address stands (netdevice(7)).
_ADDRESS_OF_CARD, _LONGEST_CARD, _ADDRESS_AT = 0x8915, 15, slice(20, 24)


def own_addresses() -> tuple[str, ...]:
    """Return the IPv4 addresses this machine has on the local network; nobody else is asked."""
    found: list[str] = []
    try:
        from fcntl import ioctl
    except ImportError:  # not on every system; there the names below know the addresses
        pass
    else:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            for _, card in socket.if_nameindex():
                asked = struct.pack("256s", card.encode()[:_LONGEST_CARD])
                with contextlib.suppress(OSError):  # a card without an address, or another kind of system
                    found.append(socket.inet_ntoa(ioctl(probe.fileno(), _ADDRESS_OF_CARD, asked)[_ADDRESS_AT]))
    with contextlib.suppress(OSError):
        found += [str(one[4][0]) for one in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    return tuple(one for one in dict.fromkeys(found) if not one.startswith("127."))


class Sharing:
    """Who besides this machine may speak to the app.

    Parameters
    ----------
    studio : Studio
        Keeps the paired devices.
    shared : bool
        Whether anybody else may.
    port : int
        Where the app listens.
    addresses : tuple of str, optional
        Addresses of this machine; found when left out.
    """

    def __init__(
        self, studio: Studio, *, shared: bool = False, port: int = 0, addresses: tuple[str, ...] | None = None
    ) -> None:
        self.studio = studio
        self.shared = shared
        self.port = port
        self.addresses = (addresses if addresses is not None else own_addresses()) if shared else ()
        self.router = APIRouter()
        self._code, self._until, self._wrong = "", 0.0, 0
        self.gives = "write"
        self.cookie = COOKIE
        self._rights: dict[str, tuple[float, str]] = {}
        self._noted: dict[str, float] = {}
        self._notes = ThreadPoolExecutor(1, "devices seen")
        self._noting: Future[None] | None = None
        self.router.add_api_route("/pair", self._ask_code, methods=["GET"], include_in_schema=False)
        self.router.add_api_route("/pair", self._pair, methods=["POST"], include_in_schema=False)

    def hosts(self) -> frozenset[str]:
        """Return the names the app answers to."""
        return LOOPBACK | frozenset(self.addresses)

    def words(self) -> tuple[str, ...]:
        """Say where the app is."""
        lines = [f"enamelwright is open at http://127.0.0.1:{self.port}/", "Stop it with Ctrl-C."]
        if self.shared:
            lines += [f"Other devices: {address}" for address in self.addresses_to_open()]
            lines.append(f"Pairing code: {self.code()} (good for {LASTS / 60:.0f} minutes, to read and to record)")
        return tuple(lines)

    # --- pairing ---------------------------------------------------------------------------------

    def code(self) -> str:
        """Return the code that pairs a device, a fresh one when the last has run out."""
        if time.monotonic() > self._until or self._wrong >= TRIES:
            self._code = "".join(secrets.choice("0123456789") for _ in range(DIGITS))
            self._until, self._wrong = time.monotonic() + LASTS, 0
        return self._code

    def give(self, may: str) -> None:
        """Choose what the next device may do; a code that was shown for something else ends.

        Parameters
        ----------
        may : str
            ``write``, or ``read`` for a guest.
        """
        if may != self.gives:
            self.gives, self._until = "read" if may == "read" else "write", 0.0

    def pair(self, code: str, label: str) -> str:
        """Pair a device and return its token; what it may do was chosen where the code is shown.

        Parameters
        ----------
        code : str
            As shown on this machine.
        label : str
            What the device is called.

        Raises
        ------
        InputError
            When the code is wrong or has run out.
        """
        live = time.monotonic() <= self._until and self._wrong < TRIES
        if not live or not hmac.compare_digest(code.strip().encode(), self._code.encode()):
            self._wrong += 1
            raise InputError("this code is not right or has run out.", "Read the new one on the bench machine.")
        self._until = 0.0  # one code, one device
        return devices.pair(self.studio, label, self.gives)

    def may_write(self, token: str) -> bool:
        """Tell whether a token belongs to a device that may write."""
        return self.right(token) == "write"

    def right(self, token: str) -> str:
        """Return what the device of a token may do: ``write``, ``read`` or nothing."""
        if not token:
            return ""
        key, now = devices.hashed(token), time.monotonic()
        until, known = self._rights.get(key, (0.0, ""))
        if now < until:
            return known
        found = devices.right_of(self.studio, token)
        if found:  # what belongs to nobody is not remembered, so that guessing fills no memory
            self._rights[key] = (now + REMEMBERED, found)
        else:
            self._rights.pop(key, None)
        return found

    def forget(self) -> None:
        """Look every right up again: a device was changed or turned away."""
        self._rights.clear()

    def settle(self) -> None:
        """Wait until the devices that were answered are noted as seen."""
        if self._noting is not None:
            self._noting.result()

    def close(self) -> None:
        """Note what is still to be noted, and stop."""
        self._notes.shutdown(wait=True)

    def _saw(self, token: str) -> None:
        """Note that a device spoke, now and then, while it is being answered."""
        key, now = devices.hashed(token), time.monotonic()
        if now < self._noted.get(key, 0.0):
            return
        self._noted[key] = now + NOTED
        with contextlib.suppress(RuntimeError):  # the app is being closed
            self._noting = self._notes.submit(self._note, token)

    def _note(self, token: str) -> None:
        try:
            devices.saw(self.studio, token)
        except Exception as error:  # being answered matters more than being noted
            logging.getLogger(__name__).warning("a device was not noted as seen", exc_info=error)

    def admits(self, client: str, token: str, method: str) -> bool:
        """Tell whether somebody may be answered: on this machine, or on a paired device that may do it.

        Parameters
        ----------
        client : str
            Address the request came from; a host name can be forged, this cannot.
        token : str
            Of the device, empty when it has none.
        method : str
            Of the request.
        """
        if client in THIS_MACHINE:
            return True
        right = self.right(token) if self.shared else ""
        if right:
            self._saw(token)
        return right == "write" or (right == "read" and method in READING)

    def addresses_to_open(self) -> tuple[str, ...]:
        """Return where another device pairs, one address for each network this machine is on."""
        return tuple(urlunsplit(("http", f"{address}:{self.port}", "/pair", "", "")) for address in self.addresses)

    def _ask_code(self, request: Request) -> Response:
        from enamelwright.web.render import show

        told = request.query_params.get("code", "")
        code = told if told.isdecimal() and len(told) == DIGITS else ""
        return show(request, "pair.html", shared=self.shared, code=code, longest=devices.LONGEST_NAME)

    def _pair(self, code: str = Form(""), label: str = Form("")) -> Response:
        token = self.pair(code, label)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self.cookie, token, max_age=10**8, samesite="strict", httponly=True)
        return answer


def on_this_machine(request: Request) -> bool:
    """Tell whether a request comes from the machine the app runs on; its address cannot be forged."""
    return request.client is not None and request.client.host in THIS_MACHINE
