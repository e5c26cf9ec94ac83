# SPDX-License-Identifier: LGPL-2.1-or-later
"""The commands of the workbench, one for each kind of object, in the order of the work."""

from .base import tell
from .groups import HULL_AND_LINES, NAMES, PLANKING, register

__all__ = ["HULL_AND_LINES", "NAMES", "PLANKING", "register", "tell"]
