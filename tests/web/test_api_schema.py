"""The whole API against its own schema: schemathesis sends what fits it and what does not, and nothing breaks.

Schemathesis derives requests from the OpenAPI document the app publishes (OpenAPI 3.1, JSON Schema 2020-12) and holds
each answer against it: status, media type, body, and never a failure of ours.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from sqlalchemy import func, select

from enamelwright.questions.question import names, question
from enamelwright.records.kinds import tables
from enamelwright.workshop.studio import Studio

#: Requests tried for each door; the examples are the same every run on the build machine.
MOST = 40
#: Doors that take nothing, or a name that any text may be: nothing can be told to them that does not fit.
BARE = ("/api/v1/questions", "/api/v1/questions/{name}")
FROM_HERE = {"Origin": "http://localhost", "Host": "localhost"}
CHECKS = [
    schemathesis.checks.not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance,
]  # fmt: skip


@pytest.fixture(scope="module")
def fuzzed(tmp_path_factory: pytest.TempPathFactory, empty_sqlite: Path) -> Iterator[Studio]:
    """A studio for what is sent at random."""
    from enamelwright.records.home import Home

    home = Home(tmp_path_factory.mktemp("fuzzed"))
    shutil.copy(empty_sqlite, home.database)
    opened = Studio.open(home)
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def api(fuzzed: Studio) -> Any:
    """The schema the app publishes."""
    from enamelwright.web.app import create_app

    return schemathesis.openapi.from_asgi("/api/v1/schema", create_app(fuzzed), headers=FROM_HERE)


@pytest.mark.parametrize("mode", list(schemathesis.GenerationMode), ids=lambda mode: mode.value)
def test_every_door_answers_as_its_schema_says(api: Any, mode: schemathesis.GenerationMode) -> None:
    """What fits the schema, and what does not: no answer of any door falls out of what the schema promises."""
    doors = []
    for found in api.get_all_operations():
        operation = found.ok()
        doors.append(operation.label)
        if mode is schemathesis.GenerationMode.NEGATIVE and operation.path in BARE:
            continue

        @given(case=operation.as_strategy(generation_mode=mode))
        @settings(max_examples=MOST, deadline=None, database=None, suppress_health_check=list(HealthCheck))
        def holds(case: Any) -> None:
            answer = case.call(headers=FROM_HERE)
            case.validate_response(answer, checks=CHECKS)

        holds()
    assert len(doors) >= 4


def test_nothing_sent_at_random_wrote_half_a_thing(fuzzed: Studio) -> None:
    """Whatever was sent before: every reference in the record is met, and nothing of a refused entry stands in it."""
    with fuzzed.reading() as connection:
        assert connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall() == []
        assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
        counted = {one.name: connection.execute(select(func.count()).select_from(one)).scalar() for one in tables()}
    assert counted["load"] == 0, "no piece is there, so nothing can have been put in"


@pytest.mark.parametrize("name", names())
def test_every_question_answers_its_own_example_over_http(client: Any, name: str) -> None:
    told = client.get(f"/api/v1/questions/{name}").json()
    answer = client.post(f"/api/v1/ask/{name}", json=told["example"])
    assert answer.status_code == 200, answer.text
    assert answer.json() == question(name).ask(told["example"], _bench(client)).to_json()


def _bench(client: Any) -> Any:
    from enamelwright.workshop.bench import bench

    return bench(client.app.state.studio)
