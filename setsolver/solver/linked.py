"""How steps become part of kernels: all of them at once, so that nothing is optimised more than once.

By itself numba optimises every function together with all that it calls, makes machine code of it, and links it into
its caller, where the same is done again: eight levels deep, most of the time of compiling went there. Nobody calls a
step by itself. So a step stays as it was lowered, and a kernel takes in all steps below it before it is optimised.

This leans on parts of numba that it does not promise to keep. ``compiled`` uses it with the versions that it was tested
with, and numba's own way, four times as slow to compile and as fast to run, with any other.
"""

from __future__ import annotations

from typing import Any

import numba
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import Compiler

__all__ = ["TESTED", "KernelCompiler", "StepCompiler"]

TESTED = numba.version_info.short == (0, 68)


class _StepCode(JITCodeLibrary):  # type: ignore[misc]  # numba has no types
    """The code of a step as it was lowered: neither optimised nor made into machine code."""

    def finalize(self) -> None:
        self._finalized = True

    def get_pointer_to_function(self, _name: str) -> int:
        self._ensure_finalized()
        return 0

    @property
    def codegen(self) -> type[_NoMachineCode]:
        return _NoMachineCode


class _NoMachineCode:
    """Takes the environment that numba would write into machine code; steps use none."""

    @staticmethod
    def set_env(_name: str, _env: object) -> None:
        pass


class _KernelCode(JITCodeLibrary):  # type: ignore[misc]
    """The code of a kernel with that of all steps below it."""

    def finalize(self) -> None:
        below = self._linking_libraries
        for library in below:  # which grows on the way
            if isinstance(library, _StepCode):
                below += [deeper for deeper in library._linking_libraries if deeper not in below]  # noqa: SLF001
        super().finalize()


class StepCompiler(Compiler):  # type: ignore[misc]
    """Numba's compiler, leaving the code as it was lowered."""

    def __init__(self, typing: Any, target: Any, library: Any, *rest: Any) -> None:
        super().__init__(typing, target, library or _StepCode(target.codegen(), "step"), *rest)


class KernelCompiler(Compiler):  # type: ignore[misc]
    """Numba's compiler, taking in all steps below."""

    def __init__(self, typing: Any, target: Any, library: Any, *rest: Any) -> None:
        if library is None:
            library = _KernelCode(target.codegen(), "kernel")
            library.enable_object_caching()
        super().__init__(typing, target, library, *rest)
