# SPDX-License-Identifier: LGPL-2.1-or-later
"""Tensor-product B-splines and the piecewise polynomials that lie on them."""
