"""Before numpy is loaded: for matrices of 27 by 27 more threads would only wait for each other."""

import os

for library in ("OPENBLAS", "MKL"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")
