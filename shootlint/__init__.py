"""A plan language for location portrait shoots, and a rules engine that judges a plan before anyone leaves.

What programs may hold on to stands in `shootlint.library`; it is loaded when it is first asked for, so that importing the
package costs nothing.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shootlint.library import *  # noqa: F403
else:

    def __getattr__(name: str) -> object:
        from importlib import import_module

        library = import_module("shootlint.library")
        if name in library.__all__:
            return getattr(library, name)
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")

    def __dir__() -> list[str]:
        from importlib import import_module

        return sorted({*globals(), *import_module("shootlint.library").__all__})
