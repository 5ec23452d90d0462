"""A job made ready for the decision: at 20 °C, with its guards and the wear in its records."""

from __future__ import annotations

from fitsolver.choices.current import with_current_numbers
from fitsolver.choices.stated import with_stated
from fitsolver.metrology.measured import Measured
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job


def made_ready(job: Job, catalogue: Catalogue | None = None) -> Measured:
    """Return the job at 20 °C with its guards, and with the wear from earlier records.

    It includes the windows stated by the makers of the catalogue's parts. Current part numbers
    replace old ones. The metrology is loaded only where it is needed. Raises InputError where the
    objective includes rebuilds that cannot be counted.
    """
    if catalogue is not None:
        job = with_stated(with_current_numbers(job, catalogue), catalogue)
    if any(cylinder.earlier for cylinder in job.cylinders):
        from fitsolver.metrology.wear import with_wear

        job = with_wear(job)
    if catalogue is not None and "rebuilds_left" in job.best:
        from fitsolver.choices.rebuilds import ahead

        ahead(job, catalogue)
    if job.measuring is None and all(c.temperatures is None for c in job.cylinders):
        return Measured(job, job)
    from fitsolver.metrology.measuring import measured

    return measured(job, catalogue)


def of_measuring(ready: Measured) -> tuple[str, ...]:
    """Return the cautions about how a job was measured."""
    if ready.job.measuring is None and not ready.corrections:
        return ()
    from fitsolver.planning.measuring_cautions import measuring_cautions

    return measuring_cautions(ready.stated)
