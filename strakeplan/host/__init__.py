# SPDX-License-Identifier: LGPL-2.1-or-later
"""The host's side: faces in, shapes, sketches, sheets and files out."""
