"""The terms of a brief: each becomes one part of the problem and one kind of line in the ledger, a file each."""

from setsolver.rules.assemble import assemble
from setsolver.rules.assembly import Assembly
from setsolver.rules.chosen import ChosenSet, Member
from setsolver.rules.draft import Draft
from setsolver.rules.ledger import ledger
from setsolver.rules.term import AxisTerm, GainTerm, Term
from setsolver.rules.tone import correction

__all__ = [
    "Assembly",
    "AxisTerm",
    "ChosenSet",
    "Draft",
    "GainTerm",
    "Member",
    "Term",
    "assemble",
    "correction",
    "ledger",
]
