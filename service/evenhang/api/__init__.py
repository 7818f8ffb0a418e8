"""The edge: bytes in, one strict decode, the engine's verb, one encode, one table of problems."""
