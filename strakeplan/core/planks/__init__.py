# SPDX-License-Identifier: LGPL-2.1-or-later
"""Planks as solids: the spline faces that bound them, their volumes and checks."""
