# SPDX-License-Identifier: LGPL-2.1-or-later
"""Commands, panels and view providers; imported only with a GUI."""
