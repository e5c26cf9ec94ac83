# SPDX-License-Identifier: LGPL-2.1-or-later
"""The hull as it was built: measured girths in place of the drawn ones."""
