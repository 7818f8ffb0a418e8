"""Sealing: offers as signed tokens, and the keys that sign and verify them.

Knows the engine and the file system, but no web and no rule book. The cryptography is the library's (imported where used).
"""
