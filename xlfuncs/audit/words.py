"""Words in cells that decide something, as `xlfuncs.data.words` knows them."""

from xlfuncs.data.words import says

__all__ = ["says"]
