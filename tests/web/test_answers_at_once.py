"""An answer leaves when it is ready: its second half does not wait until its first was acknowledged.

RFC 1122 (1989), 4.2.3.2 and 4.2.3.4: an acknowledgement may be delayed, and small segments wait for it (Nagle) unless
the application forbids it. Together they cost some 40 ms a page on most systems.
"""

from __future__ import annotations

import asyncio
import socket
from concurrent.futures import ThreadPoolExecutor

from enamelwright.web.serve import listening


def test_what_is_accepted_does_not_wait_for_acknowledgements() -> None:
    async def accepted() -> int:
        told: asyncio.Future[int] = asyncio.get_running_loop().create_future()

        def come(_reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            told.set_result(writer.get_extra_info("socket").getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()

        door = listening("127.0.0.1")
        async with await asyncio.start_server(come, sock=door):
            _, writer = await asyncio.open_connection(*door.getsockname())
            try:
                return await asyncio.wait_for(told, 10)
            finally:
                writer.close()

    # In a thread of its own: a browser that tests share has its loop in this one.
    with ThreadPoolExecutor(1) as beside:
        assert beside.submit(lambda: asyncio.run(accepted())).result(20) != 0
