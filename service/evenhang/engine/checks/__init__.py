"""The checks over a catalogue, one file for each family of findings; `check.py` puts them in their order.

They know no web and no files: works and the rules of any day are handed in.
"""
