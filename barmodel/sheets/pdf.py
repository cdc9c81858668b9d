"""Put the sheets of one bar together: title blocks, numbers, one PDF."""

from __future__ import annotations

from pathlib import Path

from barmodel.atomic import write_atomically
from barmodel.plots.style import signed
from barmodel.sheets.job import Job
from barmodel.sheets.paper import BOLD, LINE, Page, Paper
from barmodel.sheets.tables import caution_page, table_pages, tuning_card
from barmodel.sheets.template import template_pages
from barmodel.sheets.writer import pdf_of
from barmodel.units import MM

BLOCK = 17.0
"""Height of the title block. [mm]"""


def draw_pages(job: Job, paper: Paper) -> list[Page]:
    """Draw all sheets of a job, numbered, without writing them."""
    pages = template_pages(job, paper)
    pages += table_pages(job, paper)
    pages += [caution_page(job, paper)]
    if job.kind != "cut":
        pages.insert(-1, tuning_card(job, paper))
    for number, page in enumerate(pages, start=1):
        _title_block(page, job, paper, f"{number} of {len(pages)}")
    return pages


def write_pdf(job: Job, path: str | Path, paper: Paper | None = None) -> int:
    """Write all sheets of a job into one PDF, whole or not at all.

    Parameters
    ----------
    job : Job
    path : str or Path
    paper : Paper, optional
        A4 landscape unless given.

    Returns
    -------
    int
        Number of sheets.

    Raises
    ------
    FileError
        If the folder is missing or closed to writing.
    """
    pages = draw_pages(job, paper or Paper())
    write_atomically(path, pdf_of(pages, f"{job.name}: sheets for the bench"))
    return len(pages)


def _title_block(page: Page, job: Job, paper: Paper, number: str) -> None:
    """Bar, note, pitch, wood, size, date and number of the sheet, in one frame at the top."""
    left, _, right, top = page.inner
    bottom = top - BLOCK
    page.box(left, bottom, right - left, BLOCK, pen=BOLD)
    first, last = left + 0.22 * (right - left), right - 50.0
    for x in (first, last):
        page.line([x, x], [bottom, top], pen=LINE)
    page.text(left + 2.0, top - BLOCK / 2, job.name, size=22.0, bold=True, room=first - left - 4)
    blank = job.aim.blank
    sizes = " × ".join(f"{v / MM:g}" for v in (blank.length, blank.width, blank.thickness))
    middle = last - first - 4.0
    heard = _heard(job)
    rows = (4.6, 12.4) if heard is None else (3.6, 8.6)
    page.text(first + 2.0, top - rows[0], _aim(job), size=11.0, bold=True, room=middle)
    page.text(first + 2.0, top - rows[1], f"{job.wood or 'wood not named'},  {sizes} mm",
              size=10.0, room=middle)  # fmt: skip
    if heard is not None:
        page.text(first + 2.0, top - 13.6, heard, size=9.0, room=middle)
    page.text(last + 2.0, top - 3.6, f"sheet {number}", size=11.0, bold=True, room=46.0)
    page.text(last + 2.0, top - 8.6, page.view, size=8.5, room=46.0)
    made = f"made {job.date}" if job.date else "date:"
    if paper.printer_scale != 1.0:
        made += f", printer {paper.printer_scale:g}"
    page.text(last + 2.0, top - 13.4, made, size=8.5, room=46.0)


def _aim(job: Job) -> str:
    if job.target is None:
        return "no target"
    ratios = " : ".join(f"{ratio:g}" for ratio in job.target.ratios)
    hz = job.target.fundamental_hz
    return f"{job.target.note} = {hz:.2f} Hz  (A4 = {job.target.a4_hz:g}),  {ratios}"


def _heard(job: Job) -> str | None:
    """The last reading and how far it is from the target."""
    reading = job.reading
    if reading is None:
        return None
    hz = ", ".join("–" if f is None else f"{f:.1f}" for f in reading.hz)
    cents = ", ".join("–" if c is None else signed(c) for c in reading.cents)
    state = ": in tune" if reading.in_tune else ""
    when = reading.date if reading.fresh else f"{reading.date}, before the last cut"
    of = " of what it is to be" if job.today else ""
    away = f" = {cents} cents{of}{state}" if cents else ""
    return f"heard {when}: {hz} Hz{away}"
