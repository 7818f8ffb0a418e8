"""The core: prices, settlements, yields and checks as pure functions over a rule set.

It knows no web, no files, no clock, no chance and no settings: whatever a day or a rate
matters, the caller hands it in.
"""
