"""What would happen if: one drum leaks on the floor as it is, or with a dam, a covered drain, a shut door, a move."""

import json
from collections.abc import AsyncGenerator, AsyncIterator
from concurrent.futures.process import BrokenProcessPool
from contextlib import aclosing
from itertools import pairwise
from typing import Annotated, Self
from uuid import UUID

from fastapi import APIRouter, Depends, Response
from fastapi.responses import StreamingResponse
from pydantic import BaseModel, ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError
from shapely import LineString, Point

from app.api.bodies import content_of, json_bytes
from app.api.plain_schema import component
from app.deps import AnswersDep, TodayDep, WhatIfJobsDep
from app.errors import Problem, failed, told
from app.jobs import Jobs
from app.openapi import Json, content, input_component, problems, request_body
from app.progress import Busy
from app.work import Asked, NotSeen, what_if_json
from geometry.constants import CELL_M
from geometry.errors import GeometryRefused
from reports.assessment.what_if import HoleKind, HolePlace, WhatIf, WhatIfAnswer
from survey.bundle import Survey
from survey.vocabulary import Orientation

NDJSON = "application/x-ndjson"
QUICK_CELL_M = 0.2
"""Grid of the first answer, which takes about an eighth of the time of one on 0.1 m."""
QUICK_SHARE = 0.15
"""Of all the work, where both answers are asked for."""
EVERY_S = 0.4
"""How often the share that is done is told; what is refused earlier comes as a problem and not inside a stream."""

Metres = Annotated[float, Field(ge=-100_000, le=100_000, allow_inf_nan=False)]
Place = tuple[Metres, Metres]


class WhatIfQuestion(BaseModel):
    """A drum, a hole in it, and what is done about it; lengths in the coordinates of the drum's floor [m]."""

    model_config = ConfigDict(extra="forbid")

    drum_id: UUID
    hole: HoleKind = Field(description="Form of the hole; *all at once* asks for no size.")
    size_mm: float | None = Field(
        default=None, gt=0, le=600, allow_inf_nan=False, description="Diameter, or the width of a slot."
    )
    length_mm: float | None = Field(default=None, gt=0, le=2000, allow_inf_nan=False, description="Of a slot.")
    place: HolePlace = HolePlace.WALL
    along_mm: float = Field(
        default=0, ge=0, le=3000, allow_inf_nan=False, description="How far up the wall from the drum's bottom."
    )
    clock_deg: float = Field(
        default=180, ge=-360, le=360, allow_inf_nan=False, description="How far round from the top of a lying drum."
    )
    orientation: Orientation | None = Field(
        default=None,
        description="How the drum stands; as recorded if left out. Where unknown, the hole is at its lowest.",
    )
    closed: bool = Field(default=False, description="Whether no air comes in but through the hole.")
    at: Place | None = Field(default=None, description="Where the drum would stand instead.")
    dams: list[Annotated[list[Place], Field(min_length=2, max_length=50)]] = Field(
        default_factory=list, max_length=20, description="Temporary dams, each a line."
    )
    covered_drains: list[UUID] = Field(default_factory=list, max_length=500)
    shut_doors: list[UUID] = Field(
        default_factory=list, max_length=500, description="A door holds liquid only where it is recorded tight."
    )
    until_min: float = Field(default=10, gt=0, le=120, allow_inf_nan=False)
    fine: bool = Field(default=True, description="Whether an answer on a grid of 0.1 m follows the one on 0.2 m.")

    @model_validator(mode="after")
    def _hole_has_its_size(self) -> Self:
        sizes = {
            HoleKind.ROUND: (True, False),
            HoleKind.SLOT: (True, True),
            HoleKind.OPEN_BUNG: (True, False),
            HoleKind.ALL_AT_ONCE: (False, False),
        }[self.hole]
        found = (self.size_mm is not None, self.length_mm is not None)
        if found != sizes:
            says = {True: "given", False: "left out"}
            raise PydanticCustomError(
                "hole",
                "expected {expected}, found {found}",
                {
                    "expected": f"size_mm {says[sizes[0]]} and length_mm {says[sizes[1]]} for {self.hole}",
                    "found": f"size_mm {says[found[0]]} and length_mm {says[found[1]]}",
                },
            )
        if any(start == end for dam in self.dams for start, end in pairwise(dam)):
            raise PydanticCustomError(
                "dam", "expected {expected}, found {found}", {"expected": "dams of some length", "found": "none"}
            )
        return self

    def question(self) -> WhatIf:
        """Give it as judgement takes it."""
        return WhatIf(
            drum_id=self.drum_id,
            hole=self.hole,
            size_mm=self.size_mm,
            length_mm=self.length_mm,
            place=self.place,
            along_mm=self.along_mm,
            clock_deg=self.clock_deg,
            orientation=self.orientation,
            closed=self.closed,
            at=None if self.at is None else Point(self.at),
            dams=tuple(LineString(dam) for dam in self.dams),
            covered_drains=tuple(self.covered_drains),
            shut_doors=tuple(self.shut_doors),
            until_min=self.until_min,
        )


def what_if_router(components: dict[str, Json]) -> APIRouter:
    """Make the route, and add what it takes and gives to `components`."""
    taken = input_component(WhatIfQuestion, components)
    answer = component(WhatIfAnswer, components)
    share: Json = {"type": "number", "minimum": 0, "maximum": 1}
    events: Json = {
        "description": "A JSON object per line: how far the work is, a quick answer, the answer, or why there is none.",
        "oneOf": [
            _event("progress", share=share),
            _event("quick answer", answer=answer),
            _event("answer", answer=answer),
            _event("failed", problem={"$ref": "#/components/schemas/ProblemDetail"}),
        ],
    }
    router = APIRouter(prefix="/sites/{site_id}", tags=["assessment"])
    router.add_api_route(
        "/what-if",
        ask_what_if,
        methods=["POST"],
        operation_id="ask_what_if",
        response_class=Response,
        responses={
            200: content(NDJSON, events, "Lines of JSON as they come; leaving early gives the work up.", headers={}),
            **problems(
                "no-such-entry",
                "cannot-be-assessed",
                "no-answer",
                "busy",
                "unreadable-request",
                "too-large",
                "unsupported-media-type",
                "malformed-content",
                "not-ready",
            ),
        },
        openapi_extra=request_body(taken),
    )
    return router


async def ask_what_if(
    site_id: UUID,
    answers: AnswersDep,
    jobs: WhatIfJobsDep,
    today: TodayDep,
    body: Annotated[bytes, Depends(json_bytes)],
) -> Response:
    """Say where one drum's liquid would run, when, and how much of it where; nothing is stored."""
    question = content_of(WhatIfQuestion, body)
    asked = await answers.asked(site_id, today)
    _refuse_strangers(asked.survey, question)
    lines = _lines(jobs, asked, question)
    # What is refused before the first line comes as a problem, and not inside a stream.
    first = await anext(lines)
    return StreamingResponse(_from_first(first, lines), media_type=NDJSON)


async def _from_first(first: bytes, lines: AsyncGenerator[bytes]) -> AsyncIterator[bytes]:
    async with aclosing(lines):
        yield first
        try:
            async for line in lines:
                yield line
        except Problem as problem:
            yield _line("failed", problem=told(problem))
        except Exception as error:  # noqa: BLE001 - the answer has begun; what failed is logged and told as its last line
            yield _line("failed", problem=failed(error))


async def _lines(jobs: Jobs, asked: Asked, question: WhatIfQuestion) -> AsyncGenerator[bytes]:
    """Give the lines of an answer: a quick one first, where a finer one is asked for."""
    if question.fine:
        async for line in _run(jobs, asked, question, QUICK_CELL_M, "quick answer", (0.0, QUICK_SHARE)):
            yield line
        last = (QUICK_SHARE, 1.0)
    else:
        last = (0.0, 1.0)
    async for line in _run(jobs, asked, question, CELL_M if question.fine else QUICK_CELL_M, "answer", last):
        yield line


async def _run(
    jobs: Jobs,
    asked: Asked,
    question: WhatIfQuestion,
    cell_m: float,
    event: str,
    part: tuple[float, float],
) -> AsyncGenerator[bytes]:
    survey, broken = None, False
    while True:
        work = (asked.snapshot_sha256, asked.as_of, survey, question.question(), cell_m)
        try:
            async with jobs.watch(what_if_json, *work) as watch:
                while not await watch.done_within(EVERY_S):
                    yield _line("progress", share=round(part[0] + watch.share * (part[1] - part[0]), 3))
                answer = await watch.result()
        except NotSeen:
            if survey is not None:
                raise
            survey = asked.survey  # sites are large and questions many: only a worker that does not know it is sent it
        except BrokenProcessPool:
            if broken:
                raise
            broken = True  # a worker was killed, for want of memory as a rule; once more in a fresh one
        except GeometryRefused as refusal:
            raise Problem("no-answer", str(refusal)) from refusal
        except Busy as busy:
            raise Problem("busy", f"{busy}.", headers={"Retry-After": "5"}) from busy
        else:
            yield b'{"event":' + json.dumps(event).encode() + b',"answer":' + answer + b"}\n"
            return


def _refuse_strangers(survey: Survey, question: WhatIfQuestion) -> None:
    """Refuse what the record of the site does not hold."""
    for what, known, named in (
        ("drum", survey.drums, [question.drum_id]),
        ("drain", survey.drains, question.covered_drains),
        ("door", survey.doors, question.shut_doors),
    ):
        ids = {entry.id for entry in known}
        for entry_id in named:
            if entry_id not in ids:
                raise Problem("no-such-entry", f"The site has no {what} {entry_id}.")


def _event(name: str, **members: Json) -> Json:
    return {
        "type": "object",
        "required": ["event", *members],
        "properties": {"event": {"const": name}, **members},
        "additionalProperties": False,
    }


def _line(event: str, **members: object) -> bytes:
    return json.dumps({"event": event, **members}, ensure_ascii=False).encode() + b"\n"
