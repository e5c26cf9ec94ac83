# SPDX-License-Identifier: LGPL-2.1-or-later
"""The command that takes a hull's face."""

from .. import wanted
from .base import QT_TRANSLATE_NOOP, Command

__all__ = ["PlankedSurfaceCommand"]


class PlankedSurfaceCommand(Command):
    KIND = "PlankedSurface"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_PlankedSurface", "Planked surface")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_PlankedSurface",
        "Find sheer, stem, rabbet and stern of the selected face of a hull",
    )

    def run(self, document):
        from ...objects import make
        from .. import panels

        hull, face = wanted.hull_face(document)
        return panels.show(
            self.KIND,
            document,
            lambda **values: make.make_planked_surface(hull, face, **values),
            {
                "HalfSiding": 0.0, "SeparateSidings": False, "HalfSidingStem": 0.0,
                "HalfSidingKeel": 0.0, "HalfSidingPost": 0.0, "StationSpacing": 0.0,
                "StationPositions": [], "HalfStations": False,
            },
        )  # fmt: skip
