"""A section that knows its neighbours: taper, and curling across the width.

Plane sections make a beam sharp where the underside slopes, and a line of w alone knows nothing
of the width. Both corrections below are this project's own derivation from elasticity.

**Taper.** Let h be the thickness, h′ its slope, s = z/h from −1 (underside) to 0 (top). Normal
stress is taken linear through the thickness, σ = N/(b h) − 12 M (s + ½)/(b h²), with N and M about
the centroid. Without load N′ = 0 and, about the fixed top, M_top′ = −V. Equilibrium along the bar,
∂τ/∂z = −∂σ/∂x with τ = 0 on the top, then leaves exactly

    τ b h = −6 (s² + s) V − (3 s² + 2 s) h′ P,    P = N + 6 M/h = b h σ(−1),

which also frees the sloping underside of traction, τ(−1) = −h′σ(−1), and adds up to V. Its
complementary energy, with ∫36(s²+s)² = 6/5, ∫(3s²+2s)² = 2/15, ∫−6(s²+s)(3s²+2s) = −1/10, is a
3 × 3 compliance: N²/(Ebh) + 12M²/(Ebh³) + (6/5 V² + 1/5 V P h′ + 2/15 P²h′²)/(Gbh), in pure
bending 1 + 0.4 q times that of the plain section, q = (E/G) h′². Only the stretch of the underside,
ε = u′ + hθ′, meets P, so the inverse can be written down: with r = E/G, twice the energy is

    E b h [ (u′ + hθ′/2)² + (hθ′)²/12 − q/(8 + 4q) ε² − h′/(6 + 3q) ε γ
            + (1 + 8q/15)/((6/5 + 3q/5) r) γ² ].

For h′ = 0 that is Timoshenko's section with κ = 5/6; another κ enters as r = 5E/(6κG). A field in
equilibrium overrates compliance; for steep slopes the true one grows like h′, not h′² (a wedge
carries load near its top only), hence the slope is saturated: h′/√(1 + 0.4 q).

**Curling.** A bent bar curls across its width: w gains φ(x)(y² − b²/12)/2 and the section
contracts by −yφz. As a plate that costs D₂₂(φ + νθ′)² b, and 4 D₆₆ φ′² b³/12 because the
twist φ′y then changes along the width. In a bar only a few times wider than thick the twisting
stress cannot reach its plate value at the free edges. With a warping ψ(y, z)φ′ along the bar,
odd in z, even in y and of no mean over y, ∫G_xy(ψ_y − 2yz)² + G_xz ψ_z² is least for
ψ ~ cosh(my) in each sine of z, and the factor left of the plate's value is

    (96/π⁴) Σ (1 − 3 (coth m/m − 1/m²)) / n⁴,  n = 1, 3, 5 …,  m = (nπ/2)(b/h)√(G_xz/G_xy):

0.4 for b = 2.4 h in metal, 0.8 for b = 10 h. Nothing in it is fitted. Without curling (ν = 0)
undercut aluminium bars come out 7 to 39 cents lower in modes 1–3, wooden ones up to 7.
"""

from __future__ import annotations

import numpy as np

from barmodel.beam.section import PLAIN_MASS_COUPLES, Constants, Couples, plain_mass
from barmodel.undercut.piece import Values

AWARE_COUPLES: Couples = (
    (0, 0), (0, 1), (1, 1), (2, 2), (0, 2), (1, 2), (1, 3), (3, 3), (4, 4)
)  # fmt: skip
"""Strains u′, θ′, γ, φ, φ′."""
AWARE_MASS_COUPLES: Couples = (*PLAIN_MASS_COUPLES, (3, 3))

_EDGE_TERMS = 4


def aware_stiffness(h: Values, slope: Values, constants: Constants) -> Values:
    """Stiffness of a tapering section that may curl, shape (9, *h.shape), by `AWARE_COUPLES`.

    Parameters
    ----------
    h : ndarray
        Thickness that carries stress. [m]
    slope : ndarray
        Its slope; what counts as slope at a wall is `spread`'s affair. [1]
    constants : Constants
    """
    c = constants
    ratio = 5 * c.e / (6 * c.kappa * c.g)
    slope = slope / np.sqrt(1 + 0.4 * ratio * slope**2)
    q = ratio * slope**2
    section = c.e * c.width * h
    lost = q / (8 + 4 * q)
    crossed = -slope / (12 + 6 * q)
    across = c.e_width / (1 - c.nu_long_width**2 * c.e_width / c.e) * c.width * h**3 / 12
    twist = c.g_long_width * c.width**3 * h**3 / 36 * edge_factor(h, c)
    return np.stack(
        [
            section * (1 - lost),
            section * h * (1 / 2 - lost),
            section * h**2 * (1 / 3 - lost) + c.nu_long_width**2 * across,
            section * (1 + 8 * q / 15) / ((6 + 3 * q) / 5 * ratio),
            section * crossed,
            section * h * crossed,
            c.nu_long_width * across,
            across,
            twist,
        ]
    )


def edge_factor(h: Values, constants: Constants) -> Values:
    """Share of a plate's resistance to uneven twist that a bar of width b has. [1]

    Examples
    --------
    Next to nothing in a square bar, nearly all in a wide plate (`1 − 3/m` of the first sine).

    >>> metal = Constants(70e9, 26e9, 0.85, 2700.0, 0.05, 70e9, 26e9, 0.33)
    >>> [round(float(edge_factor(np.array(h), metal)), 2) for h in (0.05, 0.02, 0.0005)]
    [0.14, 0.43, 0.98]
    """
    c = constants
    base = np.pi / 2 * c.width / h * np.sqrt(c.g / c.g_long_width)
    total = np.zeros_like(base)
    for n in range(1, 2 * _EDGE_TERMS, 2):
        m = n * base
        total = total + (1 - 3 * (1 / (m * np.tanh(m)) - 1 / m**2)) / n**4
    return np.asarray(96 / np.pi**4 * total)


def aware_mass(h: Values, constants: Constants) -> Values:
    """Mass for the motion (u, w, θ, φ), shape (5, *h.shape), by `AWARE_MASS_COUPLES`."""
    c = constants
    curl = c.density * c.width**3 / 12 * (h * c.width**2 / 60 + h**3 / 12)
    return np.concatenate([plain_mass(h, c), curl[None]])
