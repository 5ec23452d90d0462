"""The sheet to pin at the machine: one self-contained page of HTML that prints cleanly."""

from __future__ import annotations

from fitsolver.paper.page import PAPERS, Paper, WorkSheet, work_sheet

__all__ = ["PAPERS", "Paper", "WorkSheet", "work_sheet"]
