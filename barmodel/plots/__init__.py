"""Pictures: one module each, a shared look, and one way to save them.

Every function takes plain arrays or the nouns of the library and returns a matplotlib `Figure`;
nothing here solves anything, and nothing touches matplotlib's global state.
"""

from barmodel.plots.save import save_figure

__all__ = ["save_figure"]
