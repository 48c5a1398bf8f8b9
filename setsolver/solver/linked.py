"""How steps become part of kernels: all of them at once, so that nothing is optimised more than once.

By itself numba optimises every function together with all that it calls, makes machine code of it, and links it into
its caller, where the same is done again: eight levels deep, most of the time of compiling went there. Nobody calls a
step by itself. So a step stays as it was lowered, and a kernel takes in all steps below it before it is optimised.

Before that, numba takes each function through 27 passes. More than half are for what kernels do not do (closures,
``with``, literals that choose branches, expressions of whole arrays) and look at every variable again to find nothing;
those are left out. And it lists and hashes all flags of the compiler whenever it looks up how a call is typed, which
took a fifth of all compiling; ours are listed and hashed once.

This leans on parts of numba that it does not promise to keep. ``compiled`` uses it with the versions that it was tested
with, and numba's own way, four times as slow to compile and as fast to run, with any other.
"""

from __future__ import annotations

from typing import Any

import numba
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import Compiler, Flags
from numba.core.compiler_machinery import PassManager

__all__ = ["TESTED", "KernelCompiler", "StepCompiler"]

TESTED = numba.version_info.short == (0, 68)

_NEEDED = {
    "TranslateByteCode",
    "FixupArgs",
    "IRProcessing",
    "GenericRewrites",  # an index that is a constant
    "ReconstructSSA",
    "NopythonTypeInference",
    "PreLowerStripPhis",
    "IRLegalization",
    "AnnotateTypes",
    "NativeLowering",
    "NoPythonBackend",
}


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


class _Flags(Flags):  # type: ignore[misc]
    """Flags that nobody sets any more once they are looked at: so they are hashed, and listed, once."""

    def __hash__(self) -> int:
        if "hash" not in self.__dict__:
            self.__dict__["hash"] = super().__hash__()
        return int(self.__dict__["hash"])

    def __eq__(self, other: object) -> bool:
        return bool(super().__eq__(other))

    def values(self) -> dict[str, Any]:
        """Return all flags by name."""
        if "all" not in self.__dict__:
            self.__dict__["all"] = super().values()
        return dict(self.__dict__["all"])


class _Compiler(Compiler):  # type: ignore[misc]
    """Numba's compiler with the passes that kernels need."""

    def __init__(
        self, typing: Any, target: Any, library: Any, arguments: Any, returned: Any, flags: Flags, given: Any
    ) -> None:
        super().__init__(typing, target, library, arguments, returned, _Flags(flags), given)

    def define_pipelines(self) -> list[PassManager]:
        """Return numba's passes, in its order, without those that find nothing here."""
        (usual,) = super().define_pipelines()
        line = PassManager("kernels")
        for one, words in usual.passes:
            if one.__name__ in _NEEDED:
                line.add_pass(one, words)
        line.finalize()
        return [line]


class StepCompiler(_Compiler):
    """Leaves the code as it was lowered."""

    def __init__(self, typing: Any, target: Any, library: Any, *rest: Any) -> None:
        super().__init__(typing, target, library or _StepCode(target.codegen(), "step"), *rest)


class KernelCompiler(_Compiler):
    """Takes in all steps below."""

    def __init__(self, typing: Any, target: Any, library: Any, *rest: Any) -> None:
        if library is None:
            library = _KernelCode(target.codegen(), "kernel")
            library.enable_object_caching()
        super().__init__(typing, target, library, *rest)
