"""The sub-problem of the search: least squares under linear inequalities."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import LinearConstraint, minimize

from barmodel.design.least import bounded_step


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.integers(0, 10_000))
def test_step_is_the_best_one_inside_the_limits(seed: int) -> None:
    random = np.random.default_rng(seed)
    jacobian, wanted = random.normal(size=(2, 3)), random.normal(size=2)
    gradients, room = random.normal(size=(4, 3)), random.uniform(0.0, 0.5, size=4)
    step = bounded_step(jacobian, wanted, gradients, room, damping=0.1)
    assert step is not None
    assert np.all(gradients @ step >= -room - 1e-9)

    def cost(s: np.ndarray) -> float:
        return float(((jacobian @ s - wanted) ** 2).sum() + 0.1 * (s**2).sum())

    other = minimize(
        cost, np.zeros(3), method="SLSQP", constraints=LinearConstraint(gradients, -room)
    )
    assert cost(step) <= other.fun + 1e-6


def test_limits_that_contradict_have_no_step() -> None:
    apart = np.array([[1.0], [-1.0]])
    assert bounded_step(np.eye(1), np.zeros(1), apart, np.array([-1.0, 0.5]), damping=1.0) is None
