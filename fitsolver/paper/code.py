"""The code that ties a sheet to its files, to be read by a telephone."""

from __future__ import annotations

import segno

from fitsolver.records.plan import Answer


def code_text(answer: Answer, made_on: str) -> str:
    """Return what the code says: the two fingerprints, the program's version and the date."""
    return (
        f"fitsolver {answer.program_version} {made_on} "
        f"job {answer.job_fingerprint or 'not read from a file'} "
        f"catalogue {answer.catalogue_fingerprint or 'not read from a file'}"
    )


def code_svg(answer: Answer, made_on: str) -> str:
    """Return that text as a QR code (ISO/IEC 18004) of error level M or better, as inline SVG."""
    made = segno.make(code_text(answer, made_on), error="m", micro=False)
    return str(
        made.svg_inline(border=2, omitsize=True, svgclass="code", title="Fingerprints as a code")
    )
