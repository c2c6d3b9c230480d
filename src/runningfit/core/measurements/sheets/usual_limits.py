"""How flat a face may be where its maker's figure is not known: what other makers allow."""

from __future__ import annotations

# Limits of makers' service tables that were read: 0.03, 0.10 (a deck) and 0.20 mm for faces in use. Taken is
# the middle one.
USUAL_FLATNESS_MM = 0.10
USUAL_FLATNESS_SOURCE = (
    "service tables of other makers, 0.03 to 0.20 mm over the whole face; not of this engine"
)
