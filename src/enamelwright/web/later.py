"""Pages that are loaded when they are first wanted, so that the first one is there at once.

Today is mounted when the app is made. Behind everything else stands one route for all the others: a request that
nothing before it answers comes here, the next page of the navigation is loaded and mounted, and the request is asked
again of all that is there now. Pages are so mounted in one order, whichever is wanted first. A thread loads them
beside (:mod:`enamelwright.web.ahead`) once the first page was answered, so that hardly anybody waits for one.
"""

from __future__ import annotations

from collections import deque

from fastapi import FastAPI
from starlette.concurrency import run_in_threadpool
from starlette.routing import BaseRoute, Match
from starlette.types import Receive, Scope, Send

from enamelwright.web.page import PAGES, Page

#: Pages that are there at once: the one that is opened first.
FIRST = 1


class Later(BaseRoute):
    """The route of whatever is not mounted yet; the last one of its app.

    Parameters
    ----------
    app : FastAPI
        Where pages are mounted, after everything else that is there already.
    """

    def __init__(self, app: FastAPI) -> None:
        self._app = app
        self._left = deque(PAGES)
        for page in PAGES[:FIRST]:
            self._mount(page)

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Take every request that came this far, while there is a page that might answer it."""
        return (Match.FULL if self._left and scope["type"] == "http" else Match.NONE), {}

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Load the next page, and ask again."""
        if self._left:
            page = self._left[0]
            await run_in_threadpool(page.load)
            self._mount(page)
        await self._app.router.app(scope, receive, send)

    def all(self) -> None:
        """Mount every page that is left, for whoever wants to know of all of them."""
        while self._left:
            self._mount(self._left[0])

    def _mount(self, page: Page) -> None:
        """Mount the next page before this route, unless another request has done so meanwhile."""
        if not self._left or self._left[0] is not page:
            return
        routes = self._app.router.routes
        if self in routes:
            routes.remove(self)
        self._app.include_router(page.load())
        self._left.popleft()
        if self._left:
            routes.append(self)
