"""Files to rules: read, lay over one another by date with origins, check, digest, hold.

Knows files, but no web.
"""
