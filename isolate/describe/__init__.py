"""What is built: materials, constructions, noises and rooms, and reading them from files.

Called, it reads a construction; the folder and the function of the library share this name:

>>> import isolate
>>> isolate.describe("glass 4 mm + 100 mm + laminated 6.4 mm").kind
'window'
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from isolate.describe.constructions import Construction


class _Reads(ModuleType):
    """A module that reads a construction when it is called."""

    def __call__(self, name: str, *, beside: Path | None = None) -> Construction:
        """As `isolate.describe.constructions.load`: a name in the catalogue, a path, or layers in words."""
        from isolate.describe.constructions import load

        return load(name, beside=beside)


sys.modules[__name__].__class__ = _Reads
