"""The least page there can be around a solve: what the real one is measured against."""

from __future__ import annotations

import asyncio
import multiprocessing
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import uvicorn
from fastapi import FastAPI, Request, Response

DEMO = Path(__file__).parents[2] / "catalogs_demo" / "pump"


def solve(text: str) -> str:
    """Read a job, decide it, and return the document."""
    from fitsolver.picking.decide import decide
    from fitsolver.reading.catalogue_folder import read_catalogue
    from fitsolver.reading.job_file import job_of
    from fitsolver.reading.toml_file import parse_toml
    from fitsolver.reporting.schema import to_json
    from fitsolver.usecases.loading import hold_together

    job = job_of(parse_toml(text, Path("job")), Path("job"), None)
    catalogue = hold_together(job, read_catalogue(DEMO))
    return to_json(decide(job, catalogue))


def main(port: int) -> None:
    app = FastAPI()
    pool = ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn"))

    @app.post("/solve")
    async def answer(request: Request) -> Response:
        text = (await request.body()).decode()
        loop = asyncio.get_running_loop()
        return Response(
            await loop.run_in_executor(pool, solve, text), media_type="application/json"
        )

    uvicorn.run(app, port=port, log_level="warning")
    pool.shutdown(cancel_futures=True)


if __name__ == "__main__":
    main(int(sys.argv[1]))
