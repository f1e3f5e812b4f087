"""LibreOffice Calc as a host.

A generated Basic module in the user's profile gives the functions their plain names: Calc finds them
in an .xlsx, and keeps the names when it saves. The module asks `bridge`, which LibreOffice's own Python
loads from its path (nothing is registered), and the bridge asks `answer`: in a worker process of the
Python environment in which xlfuncs is installed, or in LibreOffice's process where both Pythons are
of one version. `office` starts LibreOffice without a window and with a profile of its own.
"""
