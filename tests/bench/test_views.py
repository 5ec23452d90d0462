"""Margins, sheet and drawings of eight cylinders against one pick. Run with `pytest -m bench -s`.

Whole commands, as one waits for them; processor seconds of both sides, for the machine may be busy.
"""

from __future__ import annotations

import resource
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median

import pytest

from fitsolver import save_job
from fitsolver.records.catalogue import Catalogue
from tests.bench.test_ratios import ROOT, process
from tests.unit.paper.engines import engine

pytestmark = pytest.mark.bench
