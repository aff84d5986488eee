"""Long questions as jobs: asked here, answered by the one worker, never by the process that serves pages."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from enamelwright.questions.question import question
from enamelwright.workshop import jobs
from enamelwright.workshop.bench import bench
from enamelwright.workshop.studio import Studio

#: Kind of a job that answers a question.
KIND = "ask"


def ask_later(studio: Studio, name: str, data: Mapping[str, Any], **more: Any) -> int:
    """Ask for an answer and return the job.

    What is asked is read first, so that a slip is told at once and not by the worker.

    Parameters
    ----------
    studio : Studio
        The studio.
    name : str
        Of the question.
    data : mapping
        Input in the outside form.
    **more
        Kept with the job, for whoever shows it: plain JSON.

    Raises
    ------
    EnamelwrightError
        When the question or its input cannot be.
    """
    question(name).input.from_outside(data)
    return jobs.ask_for(studio, KIND, {"name": name, "data": dict(data), **more})


@jobs.does(KIND)
def _answer(studio: Studio, asked: Mapping[str, Any], progress: jobs.Progress) -> Mapping[str, Any]:
    """Answer a question from the bench of this moment."""
    return question(str(asked["name"])).ask(asked["data"], bench(studio), progress=progress).to_json()
