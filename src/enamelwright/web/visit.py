"""What a page needs to know of whoever opens it: the studio and its bench."""

from __future__ import annotations

from starlette.requests import Request

from enamelwright.craft.bench import Bench
from enamelwright.workshop.studio import Studio


def studio_of(request: Request) -> Studio:
    """Return the open studio."""
    found: Studio = request.app.state.studio
    return found


def bench_of(request: Request) -> Bench:
    """Return what is known of the studio at this moment."""
    from enamelwright.workshop.bench import bench

    return bench(studio_of(request))
