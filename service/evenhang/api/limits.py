"""Every limit on what strangers may send, named in one place.

Knows no operation: a row may carry a limit of its own for its body.
"""

MOST_BYTES = 8_000_000  # of a body that is read whole
MOST_STREAMED_BYTES = 200_000_000  # of a body that is read line by line
LONGEST_LINE = 65_000  # bytes of one line of such a body
MOST_LINES = 1_000_000  # of such a body: an answer's line may be longer than the line that it answers
MOST_TARGET = 8_000  # of path and query together (RFC 9110, section 4.1, asks for at least 8,000 octets)
MOST_HEADERS = 100
MOST_HEADER_BYTES = 32_000
MOST_PARAMETERS = 100  # of a query
MOST_ACCEPT = 2_000  # characters of Accept that are looked at
LONG_BODY = 64_000  # bytes from which a request works beside the loop, so that its neighbours go on
CHUNK = 4_000  # bytes of a streamed answer, or of lines that were read for it, between two looks at other requests
LINGER_BYTES = 100_000_000  # of a refused body that are let go before the connection closes
LINGER_SECONDS = 2.0
