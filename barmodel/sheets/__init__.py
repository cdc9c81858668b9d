"""Paper for the bench: full-scale templates, tables, cards, and drawings for other programs."""

from barmodel.sheets.export import write_csv, write_dxf, write_svg
from barmodel.sheets.job import Job, LastReading
from barmodel.sheets.paper import Paper
from barmodel.sheets.pdf import write_pdf

__all__ = ["Job", "LastReading", "Paper", "write_csv", "write_dxf", "write_pdf", "write_svg"]
