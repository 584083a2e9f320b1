"""The desk: a room described, answered and changed in the browser, on this machine alone."""
