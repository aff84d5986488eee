"""A bench is a snapshot: a changed copy knows nothing of what the old one had looked up."""

from __future__ import annotations

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.jar import Jar
from enamelwright.errors import UnknownName


def test_a_copy_with_more_jars_finds_them_even_after_the_old_bench_was_asked() -> None:
    bench = Bench.starter()
    assert bench.jar(bench.jars[0].id) is bench.jars[0]
    before = bench.revision
    more = bench.with_jars((Jar(id="mine", name="my jar", kind="opaque"),))
    assert more.jar("mine").name == "my jar"
    assert more.revision != before
    with pytest.raises(UnknownName):
        bench.jar("mine")
