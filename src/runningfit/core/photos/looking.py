"""How the surface of a piece looks, from the colours of its cut-out under light that the mat's patches tell.

A linear model over the mean and five quantiles of red, green and blue, plain and as logarithms; its weights
were fitted to rendered pieces of known finish (`training/photos/README.md`).
"""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from runningfit.core.photos.items import Look

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

_QUANTILES = (0.1, 0.25, 0.5, 0.75, 0.9)
# Keeps the logarithm of black from running away.
_BLACK = 0.02
_FEWEST_PX = 30


def looks_of(cut: NDArray[np.float32]) -> dict[Look, float]:
    """Tell how likely each look is.

    Parameters
    ----------
    cut : array of float32, 4 x height x width
        The light over that of white paper, by its root, and the mask of the piece.

    Returns
    -------
    dict of Look to float
        Probabilities, the likeliest first; all alike where too little of the piece is seen.
    """
    import numpy

    names, weights, offsets = _model()
    pixels = cut[:3][:, cut[3] > 0.5]
    if pixels.shape[1] < _FEWEST_PX:
        return dict.fromkeys(names, 1 / len(names))
    plain = numpy.concatenate([pixels.mean(axis=1), *numpy.quantile(pixels, _QUANTILES, axis=1)])
    plain = plain.astype(float)
    odds = numpy.concatenate([plain, numpy.log(plain + _BLACK)]) @ weights + offsets
    raised = numpy.exp(odds - odds.max())
    shares = raised / raised.sum()
    ordered = sorted(zip(names, shares, strict=True), key=lambda one: -one[1])
    return {look: float(share) for look, share in ordered}


@cache
def _model() -> tuple[tuple[Look, ...], Array, Array]:
    import numpy

    record = json.loads(files("runningfit.core.photos").joinpath("nets", "looks.json").read_text())
    names = tuple(Look(one) for one in record["looks"])
    return names, numpy.array(record["weights"]), numpy.array(record["offsets"])
