"""Pictures: drawn as SVG by matplotlib, which is an extra and is loaded when a picture is first asked for.

Knows what the engine answers; knows no web. Each picture has a file; canvas.py is what they share.
"""
