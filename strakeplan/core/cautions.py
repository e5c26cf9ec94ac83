# SPDX-License-Identifier: LGPL-2.1-or-later
"""Cautions that go out with every plan."""

__all__ = ["CAUTIONS"]

CAUTIONS = (
    "A plank sprung edgewise stores energy and lets go if a clamp slips: stand clear of its ends.",
    "Steam scalds, and a steamed plank is moved fast: gloves, a clear path and enough hands.",
    "Forces and strains are estimates for clear, straight-grained wood: knots, short grain and hours under "
    "strain change them.",
    "Figures hold for the modelled surface; a hull as built is never exactly as drawn. Measure before cutting.",
    "Scantlings, fastenings and butts are for the class society, the local code and a qualified "
    "surveyor or naval architect to approve.",
)
