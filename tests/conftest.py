"""Settings that every test shares."""

from __future__ import annotations

import os

from hypothesis import settings

# The two cores of a build machine are shared, so no example is judged by its time; on it the
# examples are the same every run, so that a red build can be repeated by hand with CI=true.
settings.register_profile("bench", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "bench")
