# SPDX-License-Identifier: LGPL-2.1-or-later
"""The panels in which an object's figures are given: one module for each step of the work."""

from .opening import edit, show

__all__ = ["show", "edit"]
