# SPDX-License-Identifier: LGPL-2.1-or-later
"""Planning without a window: recipes, the runner, the picture and the summary."""
