"""The documentation as pages for a browser: made from the catalogue, the rules, docstrings and `pages/*.md`.

`xlfuncs docs FOLDER` writes them. Nothing is fetched: they can be read, and searched by typing, from a disk.
"""
