"""Quantity text and unit names as the trade writes them, to SI numbers and back. (Only module that imports pint.)"""
