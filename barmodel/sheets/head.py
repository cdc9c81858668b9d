"""What stands at the top of every sheet: title block, and a banner where one could cut too much."""

from __future__ import annotations

from barmodel.plots.style import signed
from barmodel.sheets.job import Job
from barmodel.sheets.paper import BOLD, LINE, Page, Paper
from barmodel.sheets.side import saw_off, tells_depths
from barmodel.units import MM

BLOCK = 17.0
"""Height of the title block. [mm]"""
TITLE = BLOCK + 3.0
"""The same with the gap under it. [mm]"""
BAND, LETTERS = 9.0, 17.0
"""Height of the banner under the title block [mm], and size of its words. [pt]"""
GREY = 0.86


def title_height(job: Job) -> float:
    """Height kept at the top of every sheet. [mm]"""
    return TITLE + (BAND if banner_words(job) else 0.0)


def banner_words(job: Job) -> str:
    """What a maker must not miss, whichever sheet is on the bench; often nothing."""
    if any(job.trim):
        return f"SAW {saw_off(job).upper().replace(' MM', ' mm')}, FROM THE PRESENT ENDS"
    if not tells_depths(job) or job.in_tune:
        return ""
    if job.kind == "remaining":
        return "WHAT THE DESIGN HAS LEFT, NOT THE NEXT CUT"
    if job.stop is not None:
        return "WHOLE DESIGN, NOT THE FIRST CUT: stop at the dashed line"
    return "WHOLE DESIGN, NOT THE FIRST CUT" if job.whole else ""


def title_block(page: Page, job: Job, paper: Paper, number: str) -> None:
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
    _banner(page, banner_words(job), bottom)


def _banner(page: Page, words: str, top: float) -> None:
    if not words:
        return
    left, _, right, _ = page.inner
    x, y = [left, right, right, left], [top, top, top - BAND, top - BAND]
    page.fill(x, y, GREY)
    page.box(left, top - BAND, right - left, BAND, pen=BOLD)
    page.text((left + right) / 2, top - BAND / 2, words, size=LETTERS, bold=True, align="center",
              room=right - left - 6.0)  # fmt: skip


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
