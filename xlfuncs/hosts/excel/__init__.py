"""Excel as a host, through the BSD-licensed part of xlwings.

`udfs` is the module of user-defined functions, made from the catalogue. `addin` makes the add-in file that
Excel loads at its start, so that the plain names work in every workbook. `setup` installs it and checks
each link of the chain. How Windows is asked (registry, COM) comes in as `Windows`.
"""
