"""What is cut out of the underside: shapes, and the thickness they leave along the bar."""

from barmodel.undercut.build import build_profile, check_undercut, perturbed_profile
from barmodel.undercut.profile import Profile
from barmodel.undercut.shapes import Arch, Groove, Pocket, Shape, Table

__all__ = [
    "Arch",
    "Groove",
    "Pocket",
    "Profile",
    "Shape",
    "Table",
    "build_profile",
    "check_undercut",
    "perturbed_profile",
]
