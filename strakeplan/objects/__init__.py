# SPDX-License-Identifier: LGPL-2.1-or-later
"""Parametric document objects: each reads its properties and calls the core."""
