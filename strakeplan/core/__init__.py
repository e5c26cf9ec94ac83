# SPDX-License-Identifier: LGPL-2.1-or-later
"""Geometry of planking with numpy and scipy alone: nothing here knows the host."""
