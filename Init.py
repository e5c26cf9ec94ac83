# SPDX-License-Identifier: LGPL-2.1-or-later
"""Read when the program starts, with or without a GUI: there is nothing to set up.

Document objects load `strakeplan.objects` by themselves when a document is opened.
"""
