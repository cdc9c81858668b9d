"""Put the sheets of one bar together: title blocks, numbers, one PDF."""

from __future__ import annotations

from pathlib import Path

from barmodel.atomic import write_atomically
from barmodel.sheets.head import title_block
from barmodel.sheets.job import Job
from barmodel.sheets.paper import Page, Paper
from barmodel.sheets.tables import caution_page, table_pages, tuning_card
from barmodel.sheets.template import template_pages
from barmodel.sheets.writer import pdf_of


def draw_pages(job: Job, paper: Paper) -> list[Page]:
    """Draw all sheets of a job, numbered, without writing them."""
    pages = template_pages(job, paper)
    pages += table_pages(job, paper)
    pages += [caution_page(job, paper)]
    if job.kind != "cut":
        pages.insert(-1, tuning_card(job, paper))
    for number, page in enumerate(pages, start=1):
        title_block(page, job, paper, f"{number} of {len(pages)}")
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
