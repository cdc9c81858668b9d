"""A small set, and its designs made in this process."""

from __future__ import annotations

from barmodel.instrument import Outcome, Task, design_bar
from barmodel.pitch import note_of

SET = """
schema = "barmodel/set/1"
lowest = "C4"
highest = "D#4"
a4_hz = 442
[ratios]
C4 = [1, 4]
[width_mm]
C4 = 50
[stock]
thickness_mm = 22
wood = {species = "padauk"}
board_length_mm = 1000
board_width_mm = 120
[lengths]
given_mm = {C4 = 345, "C#4" = 338, D4 = 331, "D#4" = 324}
[room]
temperature_c = 21
humidity_percent = 50
"""


class Designer:
    """Designs in this process, counting, and stops after some bars if told to."""

    def __init__(self, stop_after: int = 99) -> None:
        self.asked: list[str] = []
        self.stop_after = stop_after

    def __call__(self, task: Task) -> Outcome:
        if len(self.asked) == self.stop_after:
            raise KeyboardInterrupt
        self.asked.append(note_of(task.semitone))
        return design_bar(task)
