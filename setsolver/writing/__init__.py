"""The one place that writes files for a user: whole or not at all, and never over what somebody else wrote.

A file or folder is made under a name of its own beside its place, forced to the disk, and only then given its name, in
one step that fails where the name is taken. (Machine code and the index are kept by the libraries that own them.)
"""

from setsolver.writing.files import aside, claim, refuse_taken, write_new, write_own
from setsolver.writing.folders import building, refuse_taken_folder, write_folder
from setsolver.writing.parts import alone_in

__all__ = [
    "alone_in",
    "aside",
    "building",
    "claim",
    "refuse_taken",
    "refuse_taken_folder",
    "write_folder",
    "write_new",
    "write_own",
]
