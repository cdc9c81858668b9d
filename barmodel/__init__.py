"""Design, predict and tune the undercut of marimba, xylophone and vibraphone bars.

Lengths are in metres, stiffness in pascals, density in kg/m³ and frequencies in hertz
everywhere inside this package; a name that carries another unit says so (`depth_mm`, `cents`).
"""

__version__ = "0.1.0"
