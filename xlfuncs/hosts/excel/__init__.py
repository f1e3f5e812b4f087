"""Excel as a host, through the BSD-licensed part of xlwings.

`addin` makes the add-in file that Excel loads at its start, so that the plain names work in every workbook: a
small VBA module (`xlfuncs.bas`), settings, help and a ribbon. `server` is the process that it starts, `udfs`
what it asks there, `menu` what the ribbon does. `setup` installs the add-in and checks each link of the
chain. How Windows is asked (registry) comes in as `Windows`.
"""
