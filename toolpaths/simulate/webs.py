"""The web: what is left between a cut from one face and one from the other."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from toolpaths.simulate.case import Trial
from toolpaths.simulate.findings import Finding
from toolpaths.simulate.patches import centres
from toolpaths.simulate.points import cut_at
from toolpaths.simulate.regions import label
from toolpaths.simulate.standing import NOTHING, meant_in, wood


def thin_webs(trial: Trial) -> Iterator[Finding]:
    """Less wood left between a cut from this face and one from the other than the user allows."""
    if not trial.thinnest_web:
        return
    board = trial.after.board.thickness
    both = (trial.after.top < -NOTHING) & (trial.after.bottom > np.float32(NOTHING - board))
    left = trial.after.top - trial.after.bottom
    thin = both & (left < trial.thinnest_web) & wood(trial.before) & (trial.before.top > trial.after.top)
    if trial.part is not None:
        # Where the part is meant to be open, nothing is meant to be left.
        lowest, _ = meant_in(trial, trial.part).fields(trial.after.grid)
        thin &= np.isfinite(lowest)
    patches = label(thin)
    for number in range(len(patches.area)):
        cells = patches.cells(number)
        web = np.maximum(left.reshape(-1)[cells], 0.0)
        worst = int(web.argmin())
        places = centres(trial.after.grid, cells[[worst]])
        move = cut_at(trial.case, places)[1]
        x, y = places[0].tolist()
        at = trial.case.work(np.array([[x, y, float(trial.after.top.reshape(-1)[cells[worst]])]]))[0].tolist()
        line = int(trial.case.line[move[0]]) if move[0] >= 0 else 0
        what = f"only {web[worst]:.2f} mm of wood is" if web[worst] > NOTHING else "no wood at all is"
        yield Finding(
            "thin-web", "damage", line, (at[0], at[1], at[2]), float(web[worst]), trial.thinnest_web,
            f"{what} left between this cut and one from the other side, over "
            f"{len(cells) * trial.after.cell**2:.1f} mm2; {trial.thinnest_web:g} mm is wanted. Cut one of them less "
            "deep.",
            1, (line,),
        )  # fmt: skip
